#include "report/detail/json.h"

namespace etchback::report::detail {
namespace {

void set_net(Json& object, const char* key, circuit::NetId net, const circuit::Circuit& circuit) {
    if (net.known()) {
        object[key] = circuit[net].name;
    }
}

Json json_of(const bench::Estimate& estimate) {
    return {{"value", estimate.value}, {"standard_uncertainty", estimate.u}};
}

void set_estimate(Json& object, const char* key, const std::optional<bench::Estimate>& estimate) {
    if (estimate) {
        object[key] = json_of(*estimate);
    }
}

template <typename List>
Json list_of(const List& list) {
    Json all = Json::array();
    for (const auto& one : list) {
        all.push_back(detail::json_of(one));
    }
    return all;
}

}  // namespace

Json json_of(const circuit::Part& part, const circuit::Circuit& circuit) {
    Json object = json_of_said(part.said);
    object["kind"] = part.kind.id;
    object["kind_title"] = part.kind.title;
    Json pins = Json::array();
    for (const circuit::Pin& pin : part.pins) {
        Json one = {{"pin", pin.name}};
        set_net(one, "net", pin.net, circuit);
        pins.push_back(std::move(one));
    }
    object["pins"] = std::move(pins);
    return object;
}

Json json_of_net(const circuit::Net& net, const Study& study, std::size_t index) {
    Json object = {{"name", net.name}};
    if (!net.also.empty()) {
        object["also"] = net.also;
    }
    set_text(object, "role", net.role);
    const int domain = index < study.domains.of_net.size() ? study.domains.of_net[index] : -1;
    if (domain >= 0) {
        object["domain"] = study.domains.domains[static_cast<std::size_t>(domain)].name;
    }
    Json pins = Json::array();
    for (const circuit::PinRef& ref : net.pins) {
        pins.push_back({{"part", study.circuit[ref.part].name}, {"pin", study.circuit[ref].name}});
    }
    object["pins"] = std::move(pins);
    if (net.note) {
        if (net.note->voltage) {
            object["voltage"] = json_of(net.note->voltage->value);
        }
        object["touchable"] = net.note->touchable;
        set_text(object, "note", net.note->note.value);
    }
    return object;
}

Json json_of(const circuit::Domain& domain, const circuit::Circuit& circuit) {
    Json object = {{"name", domain.name}, {"nature", name_of(domain.nature)}};
    set_net(object, "reference", domain.reference, circuit);
    Json nets = Json::array();
    for (const circuit::NetId net : domain.nets) {
        nets.push_back(circuit[net].name);
    }
    object["nets"] = std::move(nets);
    return object;
}

Json json_of(const circuit::Bridge& bridge, const Study& study) {
    Json names = Json::array();
    for (const int domain : bridge.domains) {
        names.push_back(study.domains.domains[static_cast<std::size_t>(domain)].name);
    }
    return {{"part", study.circuit[bridge.part].name},
            {"coupling", parts::name_of(bridge.coupling)},
            {"domains", std::move(names)}};
}

Json json_of(const circuit::Complaint& complaint) {
    return {{"kind", circuit::name_of(complaint.kind)},
            {"what", complaint.error.what},
            {"todo", complaint.error.todo},
            {"doubtful", complaint.doubtful},
            {"parts", complaint.parts},
            {"nets", complaint.nets},
            {"place", json_of(complaint.error.place)}};
}

Json json_of(const circuit::Reduction& reduction, const circuit::Circuit& circuit) {
    const bool series = reduction.kind == circuit::Reduction::Kind::series;
    Json object = {{"kind", series ? "series" : "parallel"},
                   {"name", reduction.name},
                   {"family", reduction.family},
                   {"parts", reduction.parts}};
    set_net(object, "from", reduction.from, circuit);
    set_net(object, "to", reduction.to, circuit);
    object["value"] = reduction.value;
    object["unit"] = base::name_of(reduction.unit);
    object["figure"] = reduction.figure.id;
    return object;
}

Json json_of(const blocks::VoltageBetween& voltage, const circuit::Circuit& circuit) {
    Json object = Json::object();
    set_net(object, "from", voltage.from, circuit);
    set_net(object, "to", voltage.to, circuit);
    object["working_v_peak"] = voltage.working_v_peak;
    object["working_v_rms"] = voltage.working_v_rms;
    object["alternating"] = voltage.alternating;
    if (voltage.single_fault_v_peak) {
        object["single_fault_v_peak"] = *voltage.single_fault_v_peak;
    }
    object["unlimited_on_open_load"] = voltage.unlimited_on_open_load;
    set_text(object, "because", voltage.because);
    set_text(object, "figure", voltage.figure.id);
    return object;
}

Json json_of(const base::Evidence& evidence) {
    Json object = {{"kind", base::name_of(evidence.kind)}, {"name", evidence.name}};
    set_text(object, "detail", evidence.detail);
    if (!evidence.place.file.empty() || evidence.place.line > 0) {
        object["place"] = json_of(evidence.place);
    }
    return object;
}

Json json_of(const base::Figure& figure) {
    Json object = {{"id", figure.id}, {"title", figure.title}};
    set_text(object, "symbol", figure.symbol);
    object["value"] = figure.value;
    object["unit"] = base::name_of(figure.unit);
    if (figure.uncertainty) {
        object["standard_uncertainty"] = *figure.uncertainty;
    }
    set_text(object, "formula", figure.formula);
    set_text(object, "worked", figure.worked);
    set_text(object, "source", figure.source);
    object["assumed"] = figure.assumed;
    object["parts"] = figure.parts;
    object["nets"] = figure.nets;
    object["evidence"] = list_of(figure.evidence);
    return object;
}

Json json_of(const bench::PowerTriangle& triangle) {
    Json object = {{"group", triangle.group}};
    set_estimate(object, "voltage_v_rms", triangle.voltage_v_rms);
    set_estimate(object, "current_a_rms", triangle.current_a_rms);
    set_estimate(object, "power_w", triangle.power_w);
    set_estimate(object, "power_factor", triangle.power_factor);
    set_estimate(object, "apparent_va", triangle.apparent_va);
    set_estimate(object, "non_active_var", triangle.non_active_var);
    if (triangle.disagreement) {
        object["disagreement"] = *triangle.disagreement;
    }
    set_text(object, "disagreement_text", triangle.disagreement_text);
    set_text(object, "suspect", triangle.suspect);
    return object;
}

Json json_of(const findings::Finding& finding) {
    Json object = {{"rule", finding.rule},
                   {"id", finding.id},
                   {"severity", findings::name_of(finding.severity)},
                   {"confidence", findings::name_of(finding.confidence)},
                   {"title", finding.title},
                   {"text", finding.text},
                   {"remedy", finding.remedy},
                   {"basis", finding.basis}};
    set_text(object, "caution", finding.caution);
    object["parts"] = finding.parts;
    object["nets"] = finding.nets;
    object["evidence"] = list_of(finding.evidence);
    return object;
}

Json json_of(const drawing::DrawingFigures& figures) {
    return {{"parts", figures.parts},
            {"nets", figures.nets},
            {"crossings", figures.crossings},
            {"bends", figures.bends},
            {"steps", figures.steps},
            {"wire_length", figures.wire_length},
            {"overlaps", figures.overlaps},
            {"width", figures.width},
            {"height", figures.height},
            {"area", figures.area},
            {"flow_share", figures.flow_share},
            {"straight_share", figures.straight_share},
            {"filled_share", figures.filled_share},
            {"signs", figures.signs},
            {"overlap_list", figures.overlap_list}};
}

}  // namespace etchback::report::detail
