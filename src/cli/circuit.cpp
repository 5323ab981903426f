#include "circuit/circuit.h"

#include <fmt/format.h>
#include <fmt/ostream.h>

#include <CLI/CLI.hpp>
#include <memory>
#include <nlohmann/json.hpp>
#include <ostream>

#include "base/text.h"
#include "circuit/domains.h"
#include "circuit/reductions.h"
#include "cli/command.h"

namespace etchback::cli {
namespace {

using nlohmann::ordered_json;

// What the command shows, derived once.
struct View {
    circuit::Circuit circuit;
    circuit::Domains domains;
    std::vector<circuit::Reduction> reductions;
};

std::string value_text(const circuit::Part& part) {
    if (part.said.value) {
        return base::to_text(part.said.value->value);
    }
    return part.said.type.value;
}

std::string net_name(const circuit::Circuit& circuit, circuit::NetId net) {
    return net.known() ? circuit[net].name : "";
}

std::string pin_name(const circuit::Circuit& circuit, circuit::PinRef ref) {
    return circuit[ref.part].name + "." + circuit[ref].name;
}

std::vector<std::string> domain_names(const circuit::Domains& domains, const std::vector<int>& of) {
    std::vector<std::string> names;
    for (const int index : of) {
        names.push_back(domains.domains[static_cast<std::size_t>(index)].name);
    }
    return names;
}

ordered_json part_json(const circuit::Circuit& circuit, const circuit::Part& part) {
    ordered_json pins = ordered_json::object();
    for (const circuit::Pin& pin : part.pins) {
        pins[pin.name] =
            pin.net.known() ? ordered_json(net_name(circuit, pin.net)) : ordered_json();
    }
    const auto value = part.value();
    return {{"name", part.name},
            {"kind", part.kind.id},
            {"value", value ? ordered_json(*value) : ordered_json()},
            {"unit", base::name_of(part.kind.value_unit)},
            {"type", part.said.type.value},
            {"pins", std::move(pins)}};
}

ordered_json nets_json(const View& view) {
    ordered_json nets = ordered_json::array();
    for (std::size_t i = 0; i < view.circuit.nets.size(); ++i) {
        const circuit::Net& net = view.circuit.nets[i];
        const int domain = view.domains.of({static_cast<int>(i)});
        std::vector<std::string> pins;
        for (const circuit::PinRef ref : net.pins) {
            pins.push_back(pin_name(view.circuit, ref));
        }
        nets.push_back(
            {{"name", net.name},
             {"also", net.also},
             {"role", net.role},
             {"domain",
              domain < 0
                  ? ordered_json()
                  : ordered_json(view.domains.domains[static_cast<std::size_t>(domain)].name)},
             {"pins", std::move(pins)}});
    }
    return nets;
}

ordered_json domains_json(const View& view) {
    ordered_json list = ordered_json::array();
    for (const circuit::Domain& domain : view.domains.domains) {
        std::vector<std::string> nets;
        for (const circuit::NetId net : domain.nets) {
            nets.push_back(net_name(view.circuit, net));
        }
        list.push_back({{"name", domain.name},
                        {"nature", name_of(domain.nature)},
                        {"reference", net_name(view.circuit, domain.reference)},
                        {"nets", std::move(nets)}});
    }
    return list;
}

std::string json_text(const View& view) {
    ordered_json json = {{"parts", ordered_json::array()},
                         {"nets", nets_json(view)},
                         {"domains", domains_json(view)},
                         {"bridges", ordered_json::array()},
                         {"reductions", ordered_json::array()}};
    for (const circuit::Part& part : view.circuit.parts) {
        json["parts"].push_back(part_json(view.circuit, part));
    }
    for (const circuit::Bridge& bridge : view.domains.bridges) {
        json["bridges"].push_back({{"part", view.circuit[bridge.part].name},
                                   {"coupling", name_of(bridge.coupling)},
                                   {"domains", domain_names(view.domains, bridge.domains)}});
    }
    for (const circuit::Reduction& reduction : view.reductions) {
        json["reductions"].push_back({{"name", reduction.name},
                                      {"value", reduction.value},
                                      {"unit", base::name_of(reduction.unit)},
                                      {"from", net_name(view.circuit, reduction.from)},
                                      {"to", net_name(view.circuit, reduction.to)},
                                      {"formula", reduction.figure.formula},
                                      {"worked", reduction.figure.worked}});
    }
    return json.dump(2) + '\n';
}

// A field padded to `width` characters, not bytes: values hold µ and Ω.
std::string padded(const std::string& text, std::size_t width) {
    const std::size_t length = base::characters(text);
    return text + std::string(length < width ? width - length : 1, ' ');
}

// Protective earth on a two-pin plug, and the like: nobody misses it.
bool pin_is_spare(const circuit::Part& part, const circuit::Pin& pin) {
    const auto spec = part.kind.pin(pin.name);
    return spec && part.kind.pins[*spec].optional;
}

void print_parts(const circuit::Circuit& circuit, std::ostream& out) {
    out << "Parts\n";
    for (const circuit::Part& part : circuit.parts) {
        std::vector<std::string> pins;
        for (const circuit::Pin& pin : part.pins) {
            if (pin.net.known() || !pin_is_spare(part, pin)) {
                pins.push_back(pin.name + "=" +
                               (pin.net.known() ? net_name(circuit, pin.net) : "open"));
            }
        }
        out << "  " << padded(part.name, 7) << padded(part.kind.title, 25)
            << padded(value_text(part), 16) << fmt::format("{}", fmt::join(pins, "  ")) << '\n';
    }
}

void print_domains(const View& view, std::ostream& out) {
    out << "\nNets by galvanic domain\n";
    for (std::size_t d = 0; d < view.domains.domains.size(); ++d) {
        const circuit::Domain& domain = view.domains.domains[d];
        out << "  " << domain.name;
        if (domain.reference.known()) {
            out << " (0 V is " << net_name(view.circuit, domain.reference) << ")";
        }
        out << '\n';
        for (const circuit::NetId net : domain.nets) {
            std::vector<std::string> pins;
            for (const circuit::PinRef ref : view.circuit[net].pins) {
                pins.push_back(pin_name(view.circuit, ref));
            }
            out << "    " << padded(net_name(view.circuit, net), 15)
                << fmt::format("{}", fmt::join(pins, " ")) << '\n';
        }
    }
    if (view.domains.bridges.empty()) {
        return;
    }
    out << "\nParts that the insulation between domains rests on\n";
    for (const circuit::Bridge& bridge : view.domains.bridges) {
        out << "  " << padded(view.circuit[bridge.part].name, 7)
            << padded(view.circuit[bridge.part].kind.title, 25) << name_of(bridge.coupling) << ": "
            << base::listed(domain_names(view.domains, bridge.domains)) << '\n';
    }
}

void print_reductions(const View& view, std::ostream& out) {
    if (view.reductions.empty()) {
        return;
    }
    out << "\nIn series and in parallel\n";
    for (const circuit::Reduction& reduction : view.reductions) {
        out << "  " << padded(reduction.name, 14) << reduction.figure.worked << '\n';
    }
}

}  // namespace

void add_circuit(CLI::App& app, Context& context) {
    CLI::App* command =
        app.add_subcommand("circuit", "Parts, nets, galvanic domains, series and parallel sets");
    const auto on = std::make_shared<OnDossier>();
    add_dossier_argument(*command, *on);
    command->footer(
        "A galvanic domain is a set of nets that are conductively joined. Parts with pins in two\n"
        "domains (transformer, optocoupler, Y capacitor) carry the insulation between them.\n"
        "\n"
        "Examples:\n"
        "  etchback circuit my-charger\n"
        "  etchback circuit my-charger --json");
    command->callback([on, &context] {
        const auto loaded = load_with_nets(on->folder, context);
        if (!loaded) {
            return;
        }
        View view{circuit::build(loaded->dossier, loaded->data.catalogue), {}, {}};
        view.domains = circuit::domains(view.circuit);
        view.reductions = circuit::reductions(view.circuit);
        if (on->json) {
            context.out << json_text(view);
            return;
        }
        print_parts(view.circuit, context.out);
        print_domains(view, context.out);
        print_reductions(view, context.out);
    });
}

}  // namespace etchback::cli
