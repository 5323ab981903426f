#include "report/study.h"

namespace etchback::report {

namespace {

// What is missing did something: where nobody knows the consequence, what the patterns say of it in
// the reference.
void tell_what_is_missing(Study::Against& against, const Study& study, const Data& data) {
    const blocks::Blocks there = blocks::find_blocks(
        against.reference, circuit::domains(against.reference), study.dossier, data.patterns);
    for (blocks::Difference& difference : against.comparison.differences) {
        if (difference.kind != blocks::DifferenceKind::missing || difference.reference.empty() ||
            !difference.consequence.empty()) {
            continue;
        }
        const int first = difference.reference.front().index;
        const int at = there.roles[static_cast<std::size_t>(first)].block;
        if (at < 0) {
            continue;
        }
        const blocks::Block& block = there.blocks[static_cast<std::size_t>(at)];
        for (const std::string& sentence : block.sentences) {
            difference.consequence +=
                (difference.consequence.empty() ? "In the reference: " : " ") + sentence;
        }
        difference.consequence_source = block.source;
    }
}

}  // namespace

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
        tell_what_is_missing(against, study, data);
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
    study.drawing = drawing::draw(study.circuit, study.domains, options);
    study.drawing_figures = drawing::figures(study.drawing, study.circuit);
    return study;
}

}  // namespace etchback::report
