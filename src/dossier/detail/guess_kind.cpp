#include "dossier/detail/guess_kind.h"

#include <fmt/format.h>

#include <algorithm>
#include <array>

#include "base/quantity.h"
#include "base/text.h"
#include "dossier/detail/reading.h"

namespace etchback::dossier::detail {

namespace {

using base::Unit;

// Letters of reference designations: IEC 81346-2 and, where that is rarely followed on small
// boards, common practice.
struct Letters {
    std::string_view letters;
    std::string_view kind;
};
constexpr std::array<Letters, 27> usual_letters = {{
    {"R", "resistor"},
    {"C", "capacitor"},
    {"L", "inductor"},
    {"D", "diode"},
    {"LED", "LED"},
    {"ZD", "Zener diode"},
    {"F", "fuse"},
    {"J", "connector"},
    {"P", "connector"},
    {"CN", "connector"},
    {"CON", "connector"},
    {"TP", "test point"},
    {"JP", "jumper"},
    {"U", "integrated circuit"},
    {"IC", "integrated circuit"},
    {"T", "transformer"},
    {"TR", "transformer"},
    {"BR", "bridge rectifier"},
    {"BD", "bridge rectifier"},
    {"VR", "varistor"},
    {"RV", "varistor"},
    {"MOV", "varistor"},
    {"NTC", "NTC"},
    {"PTC", "PTC"},
    {"Y", "crystal"},
    {"SW", "switch"},
    {"S", "switch"},
}};

bool is_number(std::string_view text) {
    return !text.empty() && text.find_first_not_of("0123456789") == std::string_view::npos;
}

std::string letters_of(std::string_view name) {
    std::string letters;
    for (const char c : name) {
        if (c >= 'a' && c <= 'z') {
            letters += static_cast<char>(c - 'a' + 'A');
        } else if (c >= 'A' && c <= 'Z') {
            letters += c;
        } else {
            break;
        }
    }
    return letters;
}

// Four digits of a chip's size in hundredths of an inch, "0805", perhaps within a longer name.
bool is_chip(std::string_view body) {
    static constexpr std::array<std::string_view, 10> sizes = {
        "0201", "0402", "0603", "0805", "1206", "1210", "1806", "1808", "1812", "2220"};
    return std::ranges::any_of(
        sizes, [&](std::string_view size) { return body.find(size) != std::string_view::npos; });
}

bool is_voltage(std::string_view value) {
    const auto read = value_in(value, Unit::volt);
    const bool says_volt = value.find_first_of("vV") != std::string_view::npos;
    return read && says_volt;
}

struct Idea {
    std::string kind;
    std::string because;
};

Idea idea_for(const std::string& letters, std::string_view value, std::string_view body) {
    const auto found = std::ranges::find(usual_letters, letters, &Letters::letters);
    if (found == usual_letters.end()) {
        return {};
    }
    Idea idea{std::string(found->kind),
              fmt::format("from the letter{} {}", letters.size() > 1 ? "s" : "", letters)};
    const std::string small = base::lowered(value);
    if (letters == "C" && is_chip(body)) {
        return {"ceramic capacitor", fmt::format("{} and the body {}", idea.because, body)};
    }
    if (letters == "D" && small.find("led") != std::string::npos) {
        return {"LED", fmt::format("{} and the value {}", idea.because, value)};
    }
    if (letters == "D" && is_voltage(value)) {
        return {"Zener diode", fmt::format("{} and the voltage {}", idea.because, value)};
    }
    return idea;
}

// Numbers of a diode's pins, as boards have them by common practice: two pins: 1 is the cathode;
// three pins of SOT-23: 1 is the anode, 3 the cathode, 2 connected to nothing.
std::map<std::string, std::string> diode_pins(const std::vector<std::string>& pins,
                                              std::string_view body) {
    const bool sot23 = base::lowered(body).find("sot-23") != std::string::npos ||
                       base::lowered(body).find("sot23") != std::string::npos;
    const auto all_of = [&](std::string_view a, std::string_view b) {
        return std::ranges::all_of(pins, [&](const std::string& p) { return p == a || p == b; });
    };
    if (sot23) {
        return all_of("1", "3")
                   ? std::map<std::string, std::string>{{"1", "anode"}, {"3", "cathode"}}
                   : std::map<std::string, std::string>{};
    }
    return all_of("1", "2") ? std::map<std::string, std::string>{{"1", "cathode"}, {"2", "anode"}}
                            : std::map<std::string, std::string>{};
}

bool has_anode_and_cathode(const parts::Kind& kind) {
    return kind.pins.size() == 2 && kind.pin("anode") && kind.pin("cathode");
}

// Each pin is one of the kind's and none is there twice.
bool pins_fit(const parts::Kind& kind, const std::vector<std::string>& pins) {
    std::vector<std::size_t> seen;
    for (const std::string& pin : pins) {
        const auto index = kind.pin(pin);
        if (!index && !kind.open_pins) {
            return false;
        }
        if (index && std::ranges::find(seen, *index) != seen.end()) {
            return false;
        }
        if (index) {
            seen.push_back(*index);
        }
    }
    return true;
}

std::string pins_remark(const std::map<std::string, std::string>& renamed) {
    std::vector<std::string> words;
    for (const auto& [number, name] : renamed) {
        words.push_back(fmt::format("{} taken as {}", number, name));
    }
    return fmt::format("; pin {}, as is usual: check it", base::listed(words));
}

}  // namespace

Guess guess_kind(std::string_view name,
                 std::string_view value,
                 std::string_view body,
                 const std::vector<std::string>& pins,
                 const parts::Catalogue& catalogue) {
    const Idea idea = idea_for(letters_of(name), value, body);
    const parts::Kind* kind = idea.kind.empty() ? nullptr : catalogue.find(idea.kind);
    if (kind == nullptr) {
        return {};
    }
    Guess guess;
    guess.kind = kind;
    guess.value_unit = kind->value_unit;
    guess.because = fmt::format("kind guessed {}", idea.because);
    const bool numbered = std::ranges::all_of(pins, is_number);
    if (numbered && has_anode_and_cathode(*kind)) {
        guess.pins_renamed = diode_pins(pins, body);
        if (!guess.pins_renamed.empty()) {
            guess.because += pins_remark(guess.pins_renamed);
            return guess;
        }
    }
    // Numbers of a polarised part's pins would be a guess that nobody could check.
    const bool numbers_mean_nothing = numbered && kind->polarised && !kind->pins.empty();
    if (!numbers_mean_nothing && pins_fit(*kind, pins)) {
        return guess;
    }
    guess.kind = nullptr;
    guess.because =
        fmt::format("the name speaks of {}, but its pins are not those of one", kind->title);
    return guess;
}

base::Result<base::Quantity> value_in(std::string_view text, Unit unit) {
    std::string spelled(text);
    for (std::size_t i = 1; i + 1 < spelled.size(); ++i) {
        const bool between_digits = is_number(std::string_view(spelled).substr(i - 1, 1)) &&
                                    is_number(std::string_view(spelled).substr(i + 1, 1));
        spelled[i] = spelled[i] == 'v' && between_digits ? 'V' : spelled[i];
    }
    return base::parse_quantity(spelled, unit);
}

bool means_not_fitted(std::string_view value) {
    static constexpr std::array<std::string_view, 7> words = {
        "nc", "dnp", "dnf", "dni", "nf", "not fitted", "do not fit"};
    return std::ranges::find(words, base::lowered(base::trimmed(value))) != words.end();
}

}  // namespace etchback::dossier::detail
