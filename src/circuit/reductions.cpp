#include "circuit/reductions.h"

#include <fmt/format.h>

#include <iterator>

#include "base/text.h"
#include "circuit/detail/series_parallel.h"

namespace etchback::circuit {

namespace {

using detail::Element;

struct Family {
    const char* name;
    const char* symbol;
    base::Unit unit;
    Reduction::Kind adds;  // the connection in which values add; in the other their inverses do
};

constexpr Family families[] = {
    {"resistor", "R", base::Unit::ohm, Reduction::Kind::series},
    {"capacitor", "C", base::Unit::farad, Reduction::Kind::parallel},
    {"inductor", "L", base::Unit::henry, Reduction::Kind::series},
};

std::string shown(double value, base::Unit unit) {
    return base::to_engineering(value, unit, {.digits = 4, .keep_zeros = false});
}

std::string name_of(const Circuit& circuit, const Element& element, bool inside = false) {
    if (element.sort == Element::Sort::part) {
        return circuit[element.part].name;
    }
    std::vector<std::string> names;
    for (const Element& each : element.elements) {
        names.push_back(name_of(circuit, each, true));
    }
    const bool series = element.sort == Element::Sort::series;
    const std::string text = fmt::format("{}", fmt::join(names, series ? "+" : "||"));
    return inside ? "(" + text + ")" : text;
}

double value_of(const Circuit& circuit, const Element& element, const Family& family) {
    if (element.sort == Element::Sort::part) {
        return circuit[element.part].value().value();
    }
    const bool series = element.sort == Element::Sort::series;
    const bool adds = series == (family.adds == Reduction::Kind::series);
    double sum = 0.0;
    for (const Element& each : element.elements) {
        const double value = value_of(circuit, each, family);
        sum += adds ? value : 1.0 / value;
    }
    return adds ? sum : 1.0 / sum;
}

// "a + b" or "1/(1/a + 1/b)".
std::string arithmetic(const std::vector<std::string>& terms, bool adds) {
    return adds ? fmt::format("{}", fmt::join(terms, " + "))
                : fmt::format("1/(1/{})", fmt::join(terms, " + 1/"));
}

base::Evidence evidence_of(const Part& part, base::Unit unit) {
    return {base::Evidence::Kind::part,
            part.name,
            fmt::format("value {}, {}",
                        shown(part.value().value(), unit),
                        dossier::name_of(part.said.basis("value"))),
            part.said.value->place};
}

base::Figure figure_of(const Circuit& circuit,
                       const Element& element,
                       const Reduction& reduction,
                       const Family& family) {
    const bool series = reduction.kind == Reduction::Kind::series;
    const bool adds = reduction.kind == family.adds;
    std::vector<std::string> names;
    std::vector<std::string> values;
    for (const Element& each : element.elements) {
        names.push_back(name_of(circuit, each, true));
        values.push_back(shown(value_of(circuit, each, family), family.unit));
    }
    base::Figure figure;
    figure.id = (series ? "series." : "parallel.") + reduction.name;
    figure.title = base::listed(names) + (series ? " in series" : " in parallel");
    figure.symbol = family.symbol;
    figure.value = reduction.value;
    figure.unit = family.unit;
    figure.formula = fmt::format("{} = {}", family.symbol, arithmetic(names, adds));
    figure.worked = fmt::format("{} = {} = {}",
                                family.symbol,
                                arithmetic(values, adds),
                                shown(reduction.value, family.unit));
    figure.source = "Kirchhoff's laws";
    figure.parts = reduction.parts;
    figure.nets = {circuit[reduction.from].name, circuit[reduction.to].name};
    for (const PartId id : element.parts) {
        const Part& part = circuit[id];
        figure.evidence.push_back(evidence_of(part, family.unit));
        figure.assumed = figure.assumed || part.said.basis("value") == dossier::Basis::assumed;
    }
    return figure;
}

void collect(const Circuit& circuit,
             const Element& element,
             const Family& family,
             std::vector<Reduction>& out) {
    if (element.sort == Element::Sort::part) {
        return;
    }
    for (const Element& each : element.elements) {
        collect(circuit, each, family, out);
    }
    Reduction reduction;
    reduction.kind =
        element.sort == Element::Sort::series ? Reduction::Kind::series : Reduction::Kind::parallel;
    reduction.name = name_of(circuit, element);
    reduction.family = family.name;
    for (const PartId id : element.parts) {
        reduction.parts.push_back(circuit[id].name);
    }
    reduction.from = element.from;
    reduction.to = element.to;
    reduction.value = value_of(circuit, element, family);
    reduction.unit = family.unit;
    reduction.figure = figure_of(circuit, element, reduction, family);
    out.push_back(std::move(reduction));
}

}  // namespace

std::vector<Reduction> reductions(const Circuit& circuit) {
    std::vector<Reduction> out;
    for (const Family& family : families) {
        for (const Element& element : detail::fold(circuit, {family.name, family.unit})) {
            collect(circuit, element, family, out);
        }
    }
    return out;
}

}  // namespace etchback::circuit
