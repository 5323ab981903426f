// Which parts feed a circuit and which are fed by it.
#include <algorithm>
#include <cctype>
#include <sstream>

#include "base/text.h"
#include "drawing/detail/place_order.h"

namespace etchback::drawing::detail {

namespace {

using circuit::Circuit;
using circuit::Part;
using parts::PinRole;

bool holds(const std::string& text, std::initializer_list<const char*> words) {
    return std::any_of(words.begin(), words.end(), [&](const char* word) {
        return text.find(word) != std::string::npos;
    });
}

// "IN", "in+", "INA", "in2" among the words.
bool names_an_input(const std::string& words) {
    std::istringstream all(words);
    for (std::string word; all >> word;) {
        if (word.starts_with("in") && word.size() <= 4 &&
            std::all_of(word.begin() + 2, word.end(), [](unsigned char c) {
                return !std::isalpha(c) || c == 'a' || c == 'b' || c == 'l' || c == 'r';
            })) {
            return true;
        }
    }
    return false;
}

// Whether a chip or an amplifier listens to one of the part's nets, and none drives any.
bool is_listened_to(const Circuit& circuit, const Part& part) {
    const auto any = [&](PinRole role) {
        return std::any_of(part.pins.begin(), part.pins.end(), [&](const circuit::Pin& pin) {
            const auto has_role = [&](const circuit::PinRef& ref) {
                return circuit[ref].role == role && !is_family(circuit[ref.part], {"transistor"});
            };
            return pin.net.known() &&
                   std::any_of(
                       circuit[pin.net].pins.begin(), circuit[pin.net].pins.end(), has_role);
        });
    };
    return any(PinRole::input) && !any(PinRole::output);
}

}  // namespace

bool is_family(const Part& part, std::initializer_list<const char*> words) {
    return holds(part.kind.family, words) || holds(part.kind.id, words);
}

bool is_neutral(const circuit::Pin& pin) {
    return pin.role == PinRole::line && base::lowered(pin.name).starts_with("n");
}

Terminal terminal_of(const Circuit& circuit, int part) {
    const Part& p = circuit.parts[static_cast<std::size_t>(part)];
    if (is_family(p, {"mains", "battery", "supply", "source"})) {
        return Terminal::source;
    }
    if (is_family(p, {"led_string", "load", "motor", "lamp"})) {
        return Terminal::load;
    }
    if (!is_family(p, {"connector", "terminal"})) {
        return Terminal::none;
    }
    std::string words =
        base::lowered(p.name + " " + p.said.title.value + " " + p.said.marking.value + " " +
                      p.said.type.value + " " + p.said.body.value);
    for (const circuit::Pin& pin : p.pins) {
        if (pin.net.known()) {
            words += " " + base::lowered(circuit[pin.net].name);
        }
        if (pin.role == PinRole::line) {
            return Terminal::source;
        }
    }
    if (holds(words, {"batt", "mains", "input", "vin", "inlet", "supply", "dc in", "bat_"}) ||
        names_an_input(words)) {
        return Terminal::source;
    }
    if (holds(words, {"out", "load", "led", "motor", "usb"})) {
        return Terminal::load;
    }
    if (is_listened_to(circuit, p)) {
        return Terminal::source;
    }
    // Fed by what feeds the circuit, if there is such a thing, or by an earlier connector.
    for (int other = 0; other < static_cast<int>(circuit.parts.size()); ++other) {
        const Part& o = circuit.parts[static_cast<std::size_t>(other)];
        if (is_family(o, {"mains", "battery", "supply", "source"}) ||
            (other < part && is_family(o, {"connector", "terminal"}))) {
            return Terminal::load;
        }
    }
    return Terminal::source;
}

}  // namespace etchback::drawing::detail
