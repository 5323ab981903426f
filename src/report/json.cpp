#include "report/detail/json.h"
#include "report/behaviour_json.h"
#include "report/bench_json.h"
#include "report/copper_json.h"
#include "report/explanation_json.h"

#include "report/report.h"

namespace etchback::report {
namespace {

using detail::Json;

constexpr int json_format = 1;

template <typename List, typename Make>
Json list_of(const List& list, const Make& make) {
    Json all = Json::array();
    for (const auto& one : list) {
        all.push_back(make(one));
    }
    return all;
}

template <typename List>
Json list_of(const List& list) {
    return list_of(list, [](const auto& one) { return detail::json_of(one); });
}

template <typename List>
Json list_in(const circuit::Circuit& circuit, const List& list) {
    return list_of(list, [&](const auto& one) { return detail::json_of(one, circuit); });
}

void add_evidence(Json& report, const dossier::Dossier& dossier) {
    report["item"] = detail::json_of(dossier.item);
    report["supply"] = detail::json_of(dossier.supply);
    report["claims"] = list_of(dossier.claims);
    report["readings"] = list_of(dossier.readings);
    report["continuity"] = list_of(dossier.continuity);
    report["waveforms"] = list_of(dossier.waveforms);
    report["photos"] = list_of(dossier.photos);
    if (dossier.reference) {
        report["reference"] = detail::json_of(*dossier.reference);
    }
}

void add_circuit(Json& report, const Study& study) {
    const circuit::Circuit& circuit = study.circuit;
    report["parts"] = list_in(circuit, circuit.parts);
    Json empty = Json::array();
    for (const dossier::Part& part : study.dossier.parts) {
        if (!part.fitted) {
            empty.push_back(part.name);
        }
    }
    report["empty_places"] = std::move(empty);
    Json nets = Json::array();
    for (std::size_t i = 0; i < circuit.nets.size(); ++i) {
        nets.push_back(detail::json_of_net(circuit.nets[i], study, i));
    }
    report["nets"] = std::move(nets);
    report["domains"] = list_in(circuit, study.domains.domains);
    report["bridges"] = list_of(study.domains.bridges, [&](const circuit::Bridge& bridge) {
        return detail::json_of(bridge, study);
    });
    report["complaints"] = list_of(study.complaints);
}

}  // namespace

std::string to_json(const Study& study) {
    Json report = {{"format", json_format}};
    report["findings"] = list_of(study.findings);
    add_evidence(report, study.dossier);
    add_circuit(report, study);
    report["reductions"] = list_in(study.circuit, study.reductions);
    report["voltages"] = list_in(study.circuit, study.voltages.known);
    report["figures"] = list_of(study.figures);
    report["power"] = list_of(study.bench.triangles);
    report["explanation"] = json_of(study.blocks, explained(study), study.circuit);
    if (study.against) {
        report["comparison"] = json_of(study.against->comparison,
                                       study.circuit,
                                       study.against->reference,
                                       study.dossier.reference->title.value);
    }
    report["claim_checks"] =
        list_of(study.bench.claims, [](const auto& check) { return json_of(check); });
    report["reading_doubts"] =
        list_of(study.bench.doubts, [](const auto& doubt) { return json_of(doubt); });
    report["records"] = list_of(study.bench.records, [&](const bench::Record& record) {
        return json_of(record, study.behaviour ? &*study.behaviour : nullptr, study.dossier);
    });
    if (study.copper) {
        report["copper"] = json_of(*study.copper);
    }
    if (study.behaviour) {
        report["behaviour"] = json_of(*study.behaviour, study.dossier, false);
    }
    report["drawing"] = detail::json_of(study.drawing_figures);
    return report.dump(2, ' ', false, Json::error_handler_t::replace) + "\n";
}

}  // namespace etchback::report
