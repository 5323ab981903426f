// Names that look like two for one net, and what the continuity tester says about names.
#include <fmt/format.h>

#include <algorithm>
#include <map>
#include <tuple>

#include "base/text.h"
#include "circuit/detail/low_paths.h"
#include "circuit/detail/sanity_checks.h"

namespace etchback::circuit::detail {

namespace {

std::string replaced(std::string text, std::string_view from, std::string_view to) {
    for (auto at = text.find(from); at != std::string::npos; at = text.find(from, at + to.size())) {
        text.replace(at, from.size(), to);
    }
    return text;
}

// Without spaces, with the plain minus sign; capitals kept.
std::string compact(std::string text) {
    for (const char* minus : {"\u2212", "\u2013", "\u2010", "\u2011"}) {
        text = replaced(std::move(text), minus, "-");
    }
    text = replaced(std::move(text), "\u00a0", "");
    std::erase_if(text, [](char c) { return c == ' ' || c == '\t'; });
    return text;
}

// What people confuse when they read or type it.
std::string look_alike(const std::string& name) {
    std::string text;
    bool letter_left = false;
    for (char c : compact(name)) {
        if (c == '_') {
            continue;
        }
        if (c == 'O' || c == 'o') {
            c = '0';
        } else if (c == 'I' || c == 'l' || c == '|') {
            c = '1';
        } else if ((c >= 'A' && c <= 'Z') || (c >= 'a' && c <= 'z')) {
            letter_left = true;
        }
        text += c;
    }
    // "O" and "0", "I1" and "11" may well be names: no letter is left to tell a word from a number.
    return letter_left ? base::lowered(text) : name;
}

int fewest_pins(const Net& a, const Net& b) {
    return static_cast<int>(std::min(a.pins.size(), b.pins.size()));
}

// Of two nets the one that is more likely the slip: with fewer pins, then further down.
bool is_slip(const Net& a, const Net& b) {
    const auto key = [](const Net& n) {
        return std::tuple(-static_cast<int>(n.pins.size()), n.place.line, n.place.column);
    };
    return key(a) > key(b);
}

void complain_of_names(
    const Circuit& circuit, const Net& a, const Net& b, bool doubtful, Complaints& out) {
    const Net& slip = is_slip(a, b) ? a : b;
    const Net& other = &slip == &a ? b : a;
    std::vector<std::string> parts;
    for (const PinRef& ref : slip.pins) {
        parts.push_back(circuit[ref.part].name);
    }
    parts.erase(std::unique(parts.begin(), parts.end()), parts.end());
    // Where the pin is, not where a note is: the slip is there.
    const base::Place place = slip.pins.size() == 1 ? circuit[slip.pins.front()].place : slip.place;
    out.push_back(
        {ComplaintKind::two_names_for_one_net,
         {place,
          fmt::format("net {} looks like net {}", in_quotes(slip.name), in_quotes(other.name)),
          "if they are one net, write one name for both; if not, choose names that cannot "
          "be mixed up"},
         std::move(parts),
         {slip.name, other.name},
         doubtful});
}

struct End {
    NetId net;
    std::optional<PartId> part;
};

// "R1.2" or a net's name.
std::optional<End> end_of(const Circuit& circuit, const std::string& text) {
    if (const auto net = circuit.net(text)) {
        return End{*net, std::nullopt};
    }
    for (auto dot = text.find('.'); dot != std::string::npos; dot = text.find('.', dot + 1)) {
        if (const auto part = circuit.part(text.substr(0, dot))) {
            const NetId net = circuit[*part].net(text.substr(dot + 1));
            if (net.known()) {
                return End{net, part};
            }
        }
    }
    return std::nullopt;
}

std::vector<std::string> parts_at(const Circuit& circuit, const End& a, const End& b) {
    std::vector<std::string> parts;
    for (const End& end : {a, b}) {
        if (end.part) {
            parts.push_back(circuit[*end.part].name);
        }
    }
    return parts;
}

// "R1.1 and F1.2".
std::string ends_text(const dossier::Continuity& check) {
    return check.between[0].value + " and " + check.between[1].value;
}

Complaint complaint_of_beep(const Circuit& circuit,
                            const dossier::Continuity& check,
                            const End& a,
                            const End& b) {
    const std::string& kept = circuit[a.net].name;
    const std::string& other = circuit[b.net].name;
    return {
        ComplaintKind::two_names_for_one_net,
        {check.place,
         fmt::format("the tester beeps between {}, but they are nets {} and {} and nothing of "
                     "low resistance joins these",
                     ends_text(check),
                     in_quotes(kept),
                     in_quotes(other)),
         fmt::format("if they are one net, say so: [nets.\"{}\"] also = [\"{}\"]; if not, repeat "
                     "the check",
                     kept,
                     other)},
        parts_at(circuit, a, b),
        {kept, other},
        false};
}

Complaint complaint_of_silence(const Circuit& circuit,
                               const dossier::Continuity& check,
                               const End& a,
                               const End& b) {
    const std::string& net = circuit[a.net].name;
    return {ComplaintKind::one_name_for_two_nets,
            {check.place,
             fmt::format("the tester stays silent between {}, but both are on net {}",
                         ends_text(check),
                         in_quotes(net)),
             "look for a break in the copper, or give the two nets names of their own"},
            parts_at(circuit, a, b),
            {net},
            false};
}

}  // namespace

void check_names(const Circuit& circuit, Complaints& out) {
    std::map<std::string, std::vector<const Net*>> alike;
    for (const Net& net : circuit.nets) {
        alike[look_alike(net.name)].push_back(&net);
    }
    // Names that only differ in spaces and capitals are alike by `look_alike` as well, but for
    // those without any letter left.
    std::map<std::string, std::vector<const Net*>> same;
    for (const Net& net : circuit.nets) {
        same[base::lowered(compact(net.name))].push_back(&net);
    }
    const auto surely = [](const Net& a, const Net& b) {
        return base::lowered(compact(a.name)) == base::lowered(compact(b.name));
    };
    for (const auto& [key, nets] : same) {
        for (std::size_t i = 1; i < nets.size(); ++i) {
            complain_of_names(circuit, *nets[0], *nets[i], false, out);
        }
    }
    for (const auto& [key, nets] : alike) {
        for (std::size_t i = 1; i < nets.size(); ++i) {
            const bool told = std::any_of(nets.begin(),
                                          nets.begin() + static_cast<std::ptrdiff_t>(i),
                                          [&](const Net* n) { return surely(*n, *nets[i]); });
            if (!told) {
                const bool doubtful = fewest_pins(*nets[0], *nets[i]) > 1;
                complain_of_names(circuit, *nets[0], *nets[i], doubtful, out);
            }
        }
    }
}

void check_beeps(const Circuit& circuit, const dossier::Dossier& dossier, Complaints& out) {
    const auto paths = low_paths(circuit, true);
    for (const dossier::Continuity& check : dossier.continuity) {
        if (check.between.size() != 2) {
            continue;
        }
        const auto a = end_of(circuit, check.between[0].value);
        const auto b = end_of(circuit, check.between[1].value);
        if (!a || !b) {
            continue;  // the dossier's reader has told
        }
        const bool one = a->net == b->net;
        if (!check.beeps && one) {
            out.push_back(complaint_of_silence(circuit, check, *a, *b));
        }
        if (check.beeps && !one &&
            least_ohm(paths, circuit.nets.size(), a->net, b->net) >= beep_ohm) {
            out.push_back(complaint_of_beep(circuit, check, *a, *b));
        }
    }
}

}  // namespace etchback::circuit::detail
