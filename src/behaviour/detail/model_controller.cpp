// Controllers: which pin is which, which numbers hold, which transistor they work.
#include <fmt/format.h>

#include <algorithm>

#include "base/text.h"
#include "behaviour/detail/model_drive.h"
#include "behaviour/detail/model_parts.h"

namespace etchback::behaviour::detail {
namespace {

std::optional<std::size_t> pin_of_role(const circuit::Part& part,
                                       const Family& family,
                                       const std::string& role) {
    const auto names = family.pins.find(role);
    if (names == family.pins.end()) {
        return std::nullopt;
    }
    for (const std::string& name : names->second) {
        for (std::size_t p = 0; p < part.pins.size(); ++p) {
            if (base::lowered(part.pins[p].name) == base::lowered(name) &&
                part.pins[p].net.known()) {
                return p;
            }
        }
    }
    return std::nullopt;
}

std::optional<std::size_t> return_pin(const circuit::Part& part, const Family& family) {
    if (const auto named = pin_of_role(part, family, "return")) {
        return named;
    }
    for (std::size_t p = 0; p < part.pins.size(); ++p) {
        if (part.pins[p].role == parts::PinRole::ground && part.pins[p].net.known()) {
            return p;
        }
    }
    return std::nullopt;
}

// Thresholds and properties of the dossier go before the family's usual numbers.
std::map<std::string, double> numbers_of(Builder& b, PartId id, const Family& family) {
    const dossier::Part& said = b.part(id).said;
    std::map<std::string, double> out;
    for (const auto& [key, amount] : said.properties) {
        out[key] = b.number(id, key);
    }
    for (const auto& [key, amount] : said.thresholds) {
        out[key] = b.number(id, key, Known{amount.value, false, ""});
    }
    for (const FamilyNumber& usual : family.numbers) {
        if (!out.contains(usual.name)) {
            out[usual.name] = b.number(
                id,
                usual.name,
                Known{usual.usual, true, fmt::format("{}: {}", family.family, usual.source)});
        }
    }
    return out;
}

const Family* family_for(Builder& b, PartId id) {
    const dossier::Part& said = b.part(id).said;
    const Family* found =
        said.family.value.empty() ? nullptr : find_family(b.tables.families, said.family.value);
    if (found != nullptr) {
        return found;
    }
    if (!said.thresholds.empty()) {
        return find_family(b.tables.families, "unknown controller");
    }
    std::vector<std::string> known;
    for (const Family& family : b.tables.families) {
        known.push_back("'" + family.family + "'");
    }
    b.complain(id,
               said.family.value.empty()
                   ? std::string("what sort of controller it is stands nowhere")
                   : fmt::format("no family of controllers is called '{}'", said.family.value),
               "write family = one of " + base::listed(known, "or") +
                   ", or the thresholds that it is known to have");
    return nullptr;
}

}  // namespace

const Family* family_of(const Builder& b, PartId id) {
    const std::string& written = b.part(id).said.family.value;
    const Family* found = written.empty() ? nullptr : find_family(b.tables.families, written);
    return found != nullptr ? found : find_family(b.tables.families, "unknown controller");
}

std::optional<std::size_t> drive_pin(const Builder& b, PartId id) {
    const Family* family = family_of(b, id);
    return family == nullptr ? std::nullopt : pin_of_role(b.part(id), *family, "drive");
}

void model_controller(Builder& b, PartId id) {
    const Family* family = family_for(b, id);
    if (family == nullptr) {
        return;
    }
    const circuit::Part& part = b.part(id);
    const auto ground = return_pin(part, *family);
    if (!ground) {
        b.complain(id, "its return pin is on no net", "write its pin GND and its net");
        return;
    }
    ControllerWiring wiring;
    wiring.part = part.name;
    wiring.owner = b.owner(id);
    wiring.pins["return"] = b.pin(id, *ground);
    for (const auto& [role, names] : family->pins) {
        if (const auto pin = pin_of_role(part, *family, role); pin && role != "return") {
            wiring.pins[role] = b.pin(id, *pin);
            wiring.tied[role] = part.pins[*pin].net == part.pins[*ground].net;
        }
    }
    wiring.numbers = numbers_of(b, id, *family);
    for (const auto& [transistor, driven] : b.driven) {
        if (driven.by == id) {
            wiring.power_switch = driven.channel;
            wiring.switch_node = driven.high;
            wiring.switch_source = driven.low;
        }
    }
    auto made = make_controller(b.network(), *family, wiring);
    if (!made) {
        for (base::Error error : made.errors()) {
            if (error.place.file.empty()) {
                error.place = part.said.place;
            }
            b.errors.push_back(std::move(error));
        }
        return;
    }
    b.machine(*std::move(made));
    if (const auto supply = wiring.pins.find("supply"); supply != wiring.pins.end()) {
        b.model.notable.push_back(b.network().probe_voltage(
            part.name + "'s supply", supply->second, wiring.pins["return"]));
    }
}

}  // namespace etchback::behaviour::detail
