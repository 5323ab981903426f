// Parts, nets and the galvanic domains that they form.
#include <fmt/format.h>

#include <algorithm>
#include <map>

#include "base/text.h"
#include "report/detail/page.h"
#include "report/detail/words.h"

namespace etchback::report::detail {
namespace {

using dossier::Basis;

std::string joined(const std::vector<std::string>& words, std::string_view joint) {
    return fmt::format("{}", fmt::join(words, joint));
}

std::string value_of(const dossier::Part& part) {
    std::vector<std::string> words;
    if (part.value) {
        words.push_back(text_of(part.value));
    }
    if (part.tolerance) {
        words.push_back("±" + text_of(part.tolerance));
    }
    std::string value = joined(words, " ");
    if (!part.type.value.empty()) {
        value += (value.empty() ? "" : ", ") + part.type.value;
    }
    return value;
}

std::string rating_of(const dossier::Part& part) {
    std::vector<std::string> words;
    for (const auto& rating :
         {part.rated_voltage, part.rated_current, part.rated_power, part.rated_temperature}) {
        if (rating) {
            words.push_back(text_of(rating));
        }
    }
    return joined(words, ", ");
}

Fact winding_fact(const dossier::Winding& winding) {
    std::vector<std::string> pins;
    for (const dossier::Text& pin : winding.pins) {
        pins.push_back(pin.value);
    }
    std::string text = "pins " + joined(pins, ", ") + " (dot at the first)";
    if (winding.turns) {
        text += fmt::format("; {:g} turns", winding.turns->value);
    }
    if (winding.inductance) {
        text += "; " + text_of(winding.inductance);
    }
    if (winding.resistance) {
        text += "; " + text_of(winding.resistance);
    }
    return {.label = winding.name.value.empty() ? "winding" : winding.name.value + " winding",
            .text = text};
}

std::vector<Fact> more_of(const dossier::Part& part) {
    std::vector<Fact> more;
    if (!part.family.value.empty()) {
        more.push_back({"family", part.family.value});
    }
    for (const auto& [key, amount] : part.properties) {
        more.push_back({spelled(key), base::to_text(amount.value)});
    }
    for (const auto& [key, amount] : part.thresholds) {
        more.push_back({spelled(key) + " threshold", base::to_text(amount.value)});
    }
    for (const dossier::Winding& winding : part.windings) {
        more.push_back(winding_fact(winding));
    }
    if (part.leakage) {
        more.push_back({"leakage inductance", text_of(part.leakage)});
    }
    return more;
}

// Which facts the person gave, by the basis on which they are known.
std::vector<Fact> known_of(const dossier::Part& part) {
    std::map<Basis, std::vector<std::string>> by_basis;
    for (const auto& [field, basis] : part.known) {
        if (!field.empty()) {
            by_basis[basis].push_back(spelled(field));
        }
    }
    std::vector<Fact> known;
    if (const auto own = part.known.find(""); own != part.known.end() || by_basis.empty()) {
        const Basis basis = own != part.known.end() ? own->second : Basis::seen;
        known.push_back({std::string(dossier::name_of(basis)), by_basis.empty() ? "" : "the rest"});
    }
    for (const auto& [basis, fields] : by_basis) {
        known.push_back({std::string(dossier::name_of(basis)), base::listed(fields)});
    }
    return known;
}

PartView view_of(const dossier::Part& part, const std::string& kind) {
    PartView view;
    view.name = part.name;
    view.kind = kind;
    view.title = part.title.value;
    view.value = value_of(part);
    view.marking = part.marking.value;
    view.body = part.body.value;
    view.rating = rating_of(part);
    view.note = part.note.value;
    view.touchable = part.touchable;
    view.fitted = part.fitted;
    view.more = more_of(part);
    view.known = known_of(part);
    for (const dossier::Alternative& other : part.alternatives) {
        view.alternatives.push_back(alternative_text(other));
    }
    view.value_doubted = !view.alternatives.empty();
    return view;
}

std::string way_of(parts::Coupling coupling) {
    switch (coupling) {
        case parts::Coupling::conductive:
            return "current: no insulation at all";
        case parts::Coupling::capacitive:
            return "a little alternating current, no direct current";
        case parts::Coupling::magnetic:
            return "power, by magnetism between its windings";
        case parts::Coupling::optical:
            return "a signal, by light";
        case parts::Coupling::gap:
            return "nothing until it fires";
        case parts::Coupling::none:
            return "nothing: its pins are not joined inside";
    }
    return "";
}

DomainView view_of(const circuit::Domain& domain, const circuit::Circuit& circuit, bool any_mains) {
    using Nature = circuit::Domain::Nature;
    DomainView view;
    view.name = domain.name;
    switch (domain.nature) {
        case Nature::mains:
            view.nature = "tied to the mains";
            view.explanation =
                "Every net in it can give a deadly shock while the item is plugged in.";
            break;
        case Nature::isolated:
            view.nature = any_mains ? "isolated from the mains" : "not tied to the mains here";
            view.explanation =
                any_mains ? "As good as the parts that bridge to it."
                          : "No mains is written down; what feeds the item may not be isolated.";
            break;
        case Nature::earth:
            view.nature = "protective earth";
            view.explanation = "Tied to the earth of the supply.";
            break;
        case Nature::floating:
            view.nature = "no supply found in it";
            view.explanation = "Nothing was found that feeds it or ties it to the rest.";
            break;
    }
    if (domain.reference.known()) {
        view.reference = circuit[domain.reference].name;
    }
    for (const circuit::NetId net : domain.nets) {
        view.nets.push_back(net_link(circuit[net].name));
    }
    return view;
}

}  // namespace

std::vector<PartView> parts_of(const Study& study) {
    std::vector<PartView> views;
    for (const circuit::Part& part : study.circuit.parts) {
        PartView view = view_of(part.said, part.kind.title);
        for (const circuit::Pin& pin : part.pins) {
            view.pins.push_back(
                {pin.name, pin.net.known() ? study.circuit[pin.net].name : std::string()});
        }
        views.push_back(std::move(view));
    }
    for (const dossier::Part& part : study.dossier.parts) {
        if (!part.fitted) {
            views.push_back(view_of(part, spelled(part.kind.value)));
            for (const dossier::PinUse& use : part.pins) {
                views.back().pins.push_back({use.pin, use.net});
            }
        }
    }
    return views;
}

std::vector<NetView> nets_of(const Study& study) {
    std::vector<NetView> views;
    for (std::size_t i = 0; i < study.circuit.nets.size(); ++i) {
        const circuit::Net& net = study.circuit.nets[i];
        NetView view;
        view.name = net.name;
        view.also = joined(net.also, ", ");
        view.role = net.role == "return" ? "return (0 V of its side)" : net.role;
        if (i < study.domains.of_net.size() && study.domains.of_net[i] >= 0) {
            view.domain =
                study.domains.domains[static_cast<std::size_t>(study.domains.of_net[i])].name;
        }
        if (net.note) {
            view.voltage = text_of(net.note->voltage);
            view.note = net.note->note.value;
            view.touchable = net.note->touchable;
        }
        for (const circuit::PinRef& ref : net.pins) {
            Link link = part_link(study.circuit[ref.part].name);
            link.text += "." + study.circuit[ref].name;
            view.pins.push_back(std::move(link));
        }
        views.push_back(std::move(view));
    }
    return views;
}

void add_domains(Page& page, const Study& study) {
    const auto& domains = study.domains.domains;
    const bool any_mains = std::any_of(domains.begin(), domains.end(), [](const auto& d) {
        return d.nature == circuit::Domain::Nature::mains;
    });
    for (const circuit::Domain& domain : domains) {
        page.domains.push_back(view_of(domain, study.circuit, any_mains));
    }
    for (const circuit::Bridge& bridge : study.domains.bridges) {
        const circuit::Part& part = study.circuit[bridge.part];
        std::vector<std::string> names;
        for (const int domain : bridge.domains) {
            names.push_back(study.domains.domains[static_cast<std::size_t>(domain)].name);
        }
        page.bridges.push_back({.part = part_link(part.name),
                                .kind = part.kind.title,
                                .way = way_of(bridge.coupling),
                                .between = base::listed(names)});
    }
    page.isolation = isolation_of(study);
}

}  // namespace etchback::report::detail
