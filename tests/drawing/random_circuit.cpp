#include "drawing/random_circuit.h"

#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <random>
#include <sstream>
#include <stdexcept>

namespace etchback::drawing_test {

namespace {

struct Family {
    const char* letter;
    const char* kind;
    const char* value;
    std::vector<std::string> pins;
};

const std::vector<Family>& families() {
    static const std::vector<Family> all{
        {"R", "resistor", "4k7", {"1", "2"}},
        {"R", "resistor", "220R", {"1", "2"}},
        {"C", "ceramic capacitor", "100n", {"1", "2"}},
        {"C", "electrolytic capacitor", "47u", {"plus", "minus"}},
        {"L", "inductor", "1 mH", {"1", "2"}},
        {"D", "diode", "", {"anode", "cathode"}},
        {"D", "Zener diode", "5V1", {"anode", "cathode"}},
        {"D", "LED", "", {"anode", "cathode"}},
        {"Q", "NPN transistor", "", {"base", "collector", "emitter"}},
        {"Q", "N-channel MOSFET", "", {"gate", "drain", "source"}},
        {"BR", "bridge rectifier", "", {"~1", "~2", "+", "-"}},
        {"U", "optocoupler", "", {"anode", "cathode", "collector", "emitter"}},
    };
    return all;
}

class Maker {
public:
    Maker(std::uint64_t seed, int count) : dice_(seed), count_(count) {
        dense_ = below(2) == 0;
        nets_ = std::max(3, dense_ ? count / 3 : count);
    }

    std::vector<dossier::Part> make() {
        std::vector<dossier::Part> parts;
        parts.push_back(connector(1));
        for (int i = 2; i <= count_; ++i) {
            const int which = below(100);
            if (which < 6) {
                parts.push_back(chip(i));
            } else if (which < 10) {
                parts.push_back(transformer(i));
            } else if (which < 14) {
                parts.push_back(connector(i));
            } else {
                const Family& f = families()[pick(families().size())];
                parts.push_back(two_or_more(i, f));
            }
        }
        return parts;
    }

private:
    int below(int n) { return static_cast<int>(dice_() % static_cast<std::uint64_t>(n)); }
    std::size_t pick(std::size_t n) { return static_cast<std::size_t>(below(static_cast<int>(n))); }

    std::string net() {
        const int which = below(100);
        if (which < 12) {
            return "GND";
        }
        if (which < 20) {
            return "VCC";
        }
        const int n = below(nets_);
        return n % 3 == 0 ? fmt::format("SIG_{}", n) : fmt::format("N{:03}", n);
    }

    dossier::Part two_or_more(int i, const Family& f) {
        std::string pins;
        for (const std::string& pin : f.pins) {
            pins += pin + "=" + net() + " ";
        }
        return part(fmt::format("{}{}", f.letter, i), f.kind, f.value, pins);
    }

    dossier::Part chip(int i) {
        std::string pins = "VCC=VCC GND=GND ";
        const int count = 6 + below(17);
        for (int k = 1; k <= count; ++k) {
            if (below(8) != 0) {  // some pins stay open
                pins += fmt::format("IO{}={} ", k, net());
            }
        }
        return part(fmt::format("U{}", i), "controller", "", pins);
    }

    dossier::Part connector(int i) {
        std::string pins;
        const int count = 2 + below(5);
        for (int k = 1; k <= count; ++k) {
            pins += fmt::format("{}={} ", k, net());
        }
        return part(fmt::format("J{}", i), "connector", "", pins);
    }

    dossier::Part transformer(int i) {
        dossier::Part t = part(fmt::format("T{}", i),
                               "transformer",
                               "",
                               fmt::format("1={} 2={} 3={} 4={}", net(), net(), net(), net()));
        const auto text = [](const char* word) { return dossier::Text{word, {}}; };
        dossier::Winding primary;
        primary.name = text("primary");
        primary.pins = {text("1"), text("2")};
        dossier::Winding secondary;
        secondary.name = text("secondary");
        secondary.pins = {text("3"), text("4")};
        t.windings = {primary, secondary};
        return t;
    }

    std::mt19937_64 dice_;
    int count_;
    int nets_ = 0;
    bool dense_ = false;
};

}  // namespace

std::vector<dossier::Part> random_parts(std::uint64_t seed, int count) {
    return Maker(seed, count).make();
}

std::vector<dossier::Part> random_parts(std::uint64_t seed) {
    const int draw = static_cast<int>(seed * 37 % 76);  // small ones more often than great ones
    return random_parts(seed, 5 + draw * draw * draw * (largest_random - 5) / (75 * 75 * 75));
}

dossier::Part part(const std::string& name,
                   const std::string& kind,
                   const std::string& value,
                   const std::string& pins) {
    dossier::Part p;
    p.name = name;
    p.kind = {kind, {}};
    if (!value.empty()) {
        const parts::Kind* known = catalogue().find(kind);
        const auto quantity =
            base::parse_quantity(value, known == nullptr ? base::Unit::none : known->value_unit);
        if (!quantity) {
            throw std::runtime_error("cannot read " + value);
        }
        p.value = dossier::Amount{*quantity, {}};
    }
    std::istringstream words(pins);
    for (std::string word; words >> word;) {
        const auto equals = word.find('=', 1);
        p.pins.push_back({word.substr(0, equals), word.substr(equals + 1), {}});
    }
    return p;
}

const parts::Catalogue& catalogue() {
    static const parts::Catalogue all = [] {
        auto loaded = parts::load_catalogue(ETCHBACK_SOURCE_DIR "/data/parts");
        if (!loaded) {
            throw std::runtime_error(base::to_string(loaded.errors().front()));
        }
        return *loaded;
    }();
    return all;
}

}  // namespace etchback::drawing_test
