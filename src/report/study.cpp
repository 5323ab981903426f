#include "report/study.h"

#include "blocks/missing.h"

namespace etchback::report {

Study derive(const dossier::Dossier& dossier, const Data& data, const drawing::Options& options) {
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
    study.triangles = bench::power_triangles(dossier.readings);
    study.figures = blocks::structure_figures(
        study.circuit, study.domains, study.reductions, study.voltages, dossier);
    for (const bench::PowerTriangle& triangle : study.triangles) {
        study.figures.insert(study.figures.end(), triangle.figures.begin(), triangle.figures.end());
    }
    study.findings = findings::find({.dossier = study.dossier,
                                     .circuit = study.circuit,
                                     .domains = study.domains,
                                     .voltages = study.voltages,
                                     .figures = study.figures,
                                     .triangles = study.triangles,
                                     .catalogue = data.catalogue},
                                    data.rules);
    drawing::Options how = options;
    how.nudges = drawing::nudges_of(dossier.drawing);
    study.drawing = drawing::draw(study.circuit, study.domains, how);
    study.drawing_figures = drawing::figures(study.drawing, study.circuit);
    return study;
}

}  // namespace etchback::report
