#include "blocks/detail/block_words.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

#include "base/text.h"
#include "blocks/detail/knowledge.h"
#include "blocks/kinds.h"
#include "circuit/names.h"

namespace etchback::blocks::detail {

namespace {

using circuit::Circuit;
using circuit::Part;
using circuit::PartId;

// Properties and thresholds of one part under "Q.", and of a winding its turns and inductance.
void add_part(Values& values, const std::string& slot, const Element& e, const Circuit& circuit) {
    const Part& part = circuit[e.parts.front()];
    const auto put = [&](const std::string& key, const dossier::Amount& amount) {
        values[slot + "." + key] = {amount.value.value,
                                    amount.value.unit,
                                    0.0,
                                    part.said.basis(key) == dossier::Basis::assumed,
                                    evidence_of(part, key)};
    };
    for (const auto& [key, amount] : part.said.properties) {
        put(key, amount);
    }
    for (const auto& [key, amount] : part.said.thresholds) {
        put(key, amount);
    }
    if (part.said.rated_voltage) {
        put("rated_voltage", *part.said.rated_voltage);
    }
    if (part.said.rated_current) {
        put("rated_current", *part.said.rated_current);
    }
    if (e.winding.empty()) {
        return;
    }
    for (const dossier::Winding& winding : part.said.windings) {
        if (winding.name.value == e.winding && winding.inductance) {
            put("inductance", *winding.inductance);
        }
    }
    if (part.said.leakage) {
        put("leakage", *part.said.leakage);
    }
}

Values values_of(const Match& match,
                 const std::vector<Element>& elements,
                 const Circuit& circuit,
                 const Values& surroundings) {
    Values values = surroundings;
    for (const Usual& usual : match.pattern->usual) {
        values.try_emplace(usual.name,
                           Value{usual.value,
                                 base::Unit::none,
                                 0.0,
                                 true,
                                 {base::Evidence::Kind::assumption, usual.name, usual.source, {}}});
    }
    for (std::size_t s = 0; s < match.elements.size(); ++s) {
        if (match.elements[s].size() != 1) {
            continue;
        }
        const std::string& slot = match.pattern->slots[s].name;
        const Element& e = elements[static_cast<std::size_t>(match.elements[s].front())];
        const Part& part = circuit[e.parts.front()];
        if (e.value) {
            const base::Unit unit = !e.winding.empty() ? base::Unit::none
                                    : is_led(part)     ? base::Unit::volt
                                                       : part.kind.value_unit;
            values[slot] = {
                *e.value, unit, e.tolerance.value_or(0.0), e.value_assumed, evidence_of(part)};
        }
        add_part(values, slot, e, circuit);
    }
    return values;
}

std::vector<PartId> parts_of(const std::vector<int>& chosen, const std::vector<Element>& elements) {
    std::vector<PartId> parts;
    for (const int e : chosen) {
        const auto& p = elements[static_cast<std::size_t>(e)].parts;
        parts.insert(parts.end(), p.begin(), p.end());
    }
    std::sort(parts.begin(), parts.end());
    return parts;
}

// Puts what the braces name into a sentence; nothing where one of them is not there.
std::optional<std::string> filled(const std::string& text,
                                  const Match& match,
                                  const std::vector<Element>& elements,
                                  const Circuit& circuit,
                                  const Values& values) {
    std::string out;
    for (std::size_t at = 0; at < text.size();) {
        const std::size_t open = text.find('{', at);
        out += text.substr(at, open - at);
        if (open == std::string::npos) {
            return out;
        }
        const std::size_t close = text.find('}', open);
        if (close == std::string::npos) {
            return std::nullopt;
        }
        std::string name = text.substr(open + 1, close - open - 1);
        at = close + 1;
        // {R?takes|take}: the first of one part, the second of several.
        const std::size_t mark = name.find('?'), bar = name.find('|');
        const int slot = match.pattern->slot(name.substr(0, mark));
        if (slot >= 0) {
            const std::vector<PartId> parts =
                parts_of(match.elements[static_cast<std::size_t>(slot)], elements);
            if (parts.empty()) {
                return std::nullopt;
            }
            out += mark == std::string::npos ? base::listed(circuit::names_of(circuit, parts))
                   : parts.size() == 1       ? name.substr(mark + 1, bar - mark - 1)
                                             : name.substr(bar + 1);
            continue;
        }
        if (name.ends_with(".value")) {
            name.resize(name.size() - 6);
        }
        const int net = match.pattern->net(name);
        if (net >= 0 && match.nets[static_cast<std::size_t>(net)].known()) {
            out += circuit[match.nets[static_cast<std::size_t>(net)]].name;
            continue;
        }
        const auto value = values.find(name);
        if (value == values.end()) {
            return std::nullopt;
        }
        out += base::to_engineering(value->second.value, value->second.unit);
    }
    return out;
}

// A figure as a value of later formulas; its spread as that of an even distribution.
Value value_of(const PatternFigure& wanted, const Evaluated& result) {
    const double share =
        result.value != 0.0 ? std::sqrt(3.0) * std::abs(result.deviation / result.value) : 0.0;
    return {result.value,
            wanted.unit,
            share,
            result.assumed,
            {base::Evidence::Kind::figure, wanted.title, {}, {}}};
}

BlockFigure figure_of(const PatternFigure& wanted,
                      const Evaluated& result,
                      const std::vector<std::string>& parts) {
    BlockFigure figure;
    base::Figure& f = figure.figure;
    f.id = wanted.id + "." + parts.front();
    f.title = wanted.title;
    f.symbol = wanted.symbol;
    f.value = result.value;
    f.unit = wanted.unit;
    if (result.deviation > 0.0) {
        f.uncertainty = result.deviation;
    }
    f.formula = wanted.symbol + " = " + pretty(wanted.formula);
    f.worked = wanted.symbol + " = " + result.worked;
    f.source = wanted.source;
    f.assumed = result.assumed;
    f.parts = parts;
    f.evidence = result.evidence;
    figure.low = result.low;
    figure.high = result.high;
    return figure;
}

// "output_current" is of any load; "dissipation R" of the slot's parts; "bus_voltage_least p" of a
// net.
std::vector<std::string> simulated_ids(const std::string& simulated,
                                       const Match& match,
                                       const std::vector<Element>& elements,
                                       const Circuit& circuit) {
    const std::size_t space = simulated.find(' ');
    if (simulated.empty()) {
        return {};
    }
    const std::string quantity = simulated.substr(0, space);
    if (space == std::string::npos) {
        // Of the whole item, or of any load.
        return quantity == "power_factor" ? std::vector{quantity} : std::vector{quantity + "."};
    }
    const std::string of = simulated.substr(space + 1);
    std::vector<std::string> ids;
    const int slot = match.pattern->slot(of);
    const int net = match.pattern->net(of);
    if (slot >= 0) {
        for (const PartId part :
             parts_of(match.elements[static_cast<std::size_t>(slot)], elements)) {
            ids.push_back(quantity + "." + circuit[part].name);
        }
    } else if (net >= 0 && match.nets[static_cast<std::size_t>(net)].known()) {
        ids.push_back(quantity + "." + circuit[match.nets[static_cast<std::size_t>(net)]].name);
    }
    return ids;
}

BlockFigure::Simulated simulated_of(const PatternFigure& wanted,
                                    const Match& match,
                                    const std::vector<Element>& elements,
                                    const Circuit& circuit) {
    BlockFigure::Simulated simulated{wanted.simulated_in,
                                     simulated_ids(wanted.simulated, match, elements, circuit),
                                     wanted.within,
                                     {},
                                     {}};
    const std::size_t space = wanted.simulated_if.find(' ');
    if (space == std::string::npos) {
        return simulated;
    }
    const int slot = match.pattern->slot(wanted.simulated_if.substr(space + 1));
    const auto parts = slot < 0
                           ? std::vector<PartId>()
                           : parts_of(match.elements[static_cast<std::size_t>(slot)], elements);
    if (parts.empty()) {
        simulated.figures.clear();
    } else {
        simulated.event = wanted.simulated_if.substr(0, space);
        simulated.event_of = circuit[parts.front()].name;
    }
    return simulated;
}

// The value that a supply names itself, or the one of IEC 60038 that lies in its range; of any
// other range the upper end: nothing is larger.
double nominal_of(const base::Quantity& supply) {
    if (supply.nominal || supply.exact()) {
        return supply.value;
    }
    for (const double usual : {230.0, 120.0, 100.0}) {
        if (supply.low <= usual && usual <= supply.high) {
            return usual;
        }
    }
    return supply.high;
}

}  // namespace

Values values_of_supply(const dossier::Dossier& dossier) {
    Values values;
    if (dossier.supply.kind != dossier::Supply::Kind::ac) {
        if (const auto& volts = dossier.supply.voltage) {
            const base::Quantity& q = volts->value;
            const base::Evidence evidence{
                base::Evidence::Kind::supply, "supply voltage", base::to_text(q), {}};
            values["dc.low"] = {q.low, base::Unit::volt, 0.0, false, evidence};
            values["dc.nominal"] = {q.value, base::Unit::volt, 0.0, false, evidence};
            values["dc.high"] = {q.high, base::Unit::volt, 0.0, false, evidence};
        }
        return values;
    }
    const bool stated = dossier.supply.voltage.has_value();
    const base::Quantity q = stated
                                 ? dossier.supply.voltage->value
                                 : base::Quantity{230.0, base::Unit::volt, 207.0, 253.0, {}, true};
    const base::Evidence evidence =
        stated
            ? base::Evidence{base::Evidence::Kind::supply, "supply voltage", base::to_text(q), {}}
            : base::Evidence{base::Evidence::Kind::assumption,
                             "supply voltage",
                             "230 V ± 10 % (IEC 60038)",
                             {}};
    values["mains.low"] = {q.low, base::Unit::volt, 0.0, !stated, evidence};
    values["mains.nominal"] = {nominal_of(q), base::Unit::volt, 0.0, !stated, evidence};
    values["mains.high"] = {q.high, base::Unit::volt, 0.0, !stated, evidence};
    const bool hertz = dossier.supply.frequency.has_value();
    values["mains.frequency"] = {
        hertz ? dossier.supply.frequency->value.low : 50.0,
        base::Unit::hertz,
        0.0,
        !hertz,
        {hertz ? base::Evidence::Kind::supply : base::Evidence::Kind::assumption,
         "supply frequency",
         hertz ? base::to_text(dossier.supply.frequency->value) : "50 Hz",
         {}}};
    return values;
}

bool holds(const Match& match,
           const std::vector<Element>& elements,
           const Circuit& circuit,
           const Values& surroundings) {
    if (match.pattern->where.empty()) {
        return true;
    }
    const Values values = values_of(match, elements, circuit, surroundings);
    return std::all_of(match.pattern->where.begin(),
                       match.pattern->where.end(),
                       [&](const std::string& condition) {
                           const auto result = evaluate(condition, values);
                           return !result || result->value != 0.0;
                       });
}

namespace {

std::optional<Evaluated> counted(const PatternFigure& wanted,
                                 const Match& match,
                                 const NetTerms& terms,
                                 const Values& values) {
    if (wanted.when_net >= 0) {
        const circuit::NetId net = match.nets[static_cast<std::size_t>(wanted.when_net)];
        if (!net.known() || terms.has(net, wanted.when) != wanted.when_is) {
            return std::nullopt;
        }
    }
    return evaluate(wanted.formula, values);
}

}  // namespace

Values shared_by(const Match& match,
                 const std::vector<Element>& elements,
                 const Circuit& circuit,
                 const NetTerms& terms,
                 const Values& surroundings) {
    Values values = values_of(match, elements, circuit, surroundings), shared;
    for (const PatternFigure& wanted : match.pattern->figures) {
        const auto result = counted(wanted, match, terms, values);
        if (!result) {
            continue;
        }
        values[wanted.id] = value_of(wanted, *result);
        if (!wanted.share.empty()) {
            shared["known." + wanted.share] = values[wanted.id];
        }
    }
    return shared;
}

void put_words(Block& block,
               const Match& match,
               const std::vector<Element>& elements,
               const Circuit& circuit,
               const NetTerms& terms,
               const Values& surroundings) {
    const Pattern& pattern = *match.pattern;
    Values values = values_of(match, elements, circuit, surroundings);
    const std::vector<std::string> parts = circuit::names_of(circuit, block.parts());
    for (const PatternFigure& wanted : pattern.figures) {
        const auto result = counted(wanted, match, terms, values);
        if (!result) {
            continue;
        }
        values[wanted.id] = value_of(wanted, *result);
        if (!wanted.silent) {
            block.figures.push_back(figure_of(wanted, *result, parts));
            block.figures.back().simulated = simulated_of(wanted, match, elements, circuit);
        }
    }
    const auto say = [&](const std::string& text) {
        return filled(text, match, elements, circuit, values);
    };
    for (const Saying& saying : pattern.says) {
        const bool absent =
            std::all_of(saying.without.begin(), saying.without.end(), [&](const std::string& name) {
                const int slot = pattern.slot(name);
                return slot < 0 || match.elements[static_cast<std::size_t>(slot)].empty();
            });
        const auto text = absent ? say(saying.text) : std::nullopt;
        if (text) {
            block.sentences.push_back(*text);
        }
    }
    if (!match.near.empty()) {
        if (const auto text = say(match.near)) {
            block.remarks.push_back(*text);
        }
    }
    for (std::size_t s = 0; s < pattern.slots.size(); ++s) {
        const Slot& slot = pattern.slots[s];
        for (const int e : match.elements[s]) {
            const Element& element = elements[static_cast<std::size_t>(e)];
            if (slot.usual_series && element.in_series < *slot.usual_series) {
                if (const auto text = say(slot.fewer)) {
                    block.remarks.push_back(*text);
                }
            }
        }
    }
    for (const std::string& caution : pattern.cautions) {
        if (const auto text = say(caution)) {
            block.cautions.push_back(*text);
        }
    }
}

}  // namespace etchback::blocks::detail
