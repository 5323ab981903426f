#include "report/study.h"

#include <set>

#include "blocks/missing.h"

namespace etchback::report {
namespace {

void add_bench_figures(Study& study) {
    const auto add = [&](const std::vector<base::Figure>& figures) {
        study.figures.insert(study.figures.end(), figures.begin(), figures.end());
    };
    for (const bench::PowerTriangle& triangle : study.bench.triangles) {
        add(triangle.figures);
    }
    add(study.bench.figures);
}

}  // namespace

Study derive(const dossier::Dossier& dossier,
             const Data& data,
             const std::optional<drawing::Standard>& standard) {
    Study study;
    study.dossier = dossier;
    study.circuit = circuit::build(dossier, data.catalogue);
    study.domains = circuit::domains(study.circuit);
    study.complaints = circuit::complaints(study.circuit, dossier);
    study.reductions = circuit::reductions(study.circuit);
    study.voltages = blocks::voltages(study.circuit, study.domains, dossier);
    study.stages = data.patterns.stages;
    study.blocks = blocks::find_blocks(study.circuit, study.domains, dossier, data.patterns);
    if (dossier.reference) {
        Study::Against against{circuit::build(dossier.reference->parts, {}, data.catalogue), {}};
        blocks::CompareOptions how;
        how.consequence = data.consequence;
        against.comparison = blocks::compare(study.circuit, against.reference, how);
        blocks::name_empty_places(
            against.comparison, study.circuit, against.reference, dossier.parts, data.catalogue);
        blocks::tell_what_is_missing(against.comparison, against.reference, dossier, data.patterns);
        study.against = std::move(against);
    }
    study.bench = at_bench(dossier, data.meters, std::nullopt);
    study.figures = blocks::structure_figures(
        study.circuit, study.domains, study.reductions, study.voltages, dossier);
    add_bench_figures(study);
    study.findings = findings::find({.dossier = study.dossier,
                                     .circuit = study.circuit,
                                     .domains = study.domains,
                                     .voltages = study.voltages,
                                     .figures = study.figures,
                                     .triangles = study.bench.triangles,
                                     .catalogue = data.catalogue},
                                    data.rules);
    study.sheet_words = sheet_words(dossier.drawing);
    study.sheet_words.standard = standard.value_or(study.sheet_words.standard);
    study.drawing = drawing::draw(
        study.circuit, study.domains, drawing_options(study.sheet_words, dossier.drawing));
    study.drawing_figures = drawing::figures(study.drawing, study.circuit);
    return study;
}

void read_waveforms(Study& study, const Data& data, const std::filesystem::path& folder) {
    std::set<std::string> before;
    for (const bench::PowerTriangle& triangle : study.bench.triangles) {
        for (const base::Figure& figure : triangle.figures) {
            before.insert(figure.id);
        }
    }
    for (const base::Figure& figure : study.bench.figures) {
        before.insert(figure.id);
    }
    std::erase_if(study.figures,
                  [&](const base::Figure& figure) { return before.count(figure.id) > 0; });
    study.bench = at_bench(study.dossier, data.meters, folder);
    add_bench_figures(study);
}

}  // namespace etchback::report
