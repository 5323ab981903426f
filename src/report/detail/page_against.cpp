// How the found circuit differs from the reference, for page and paper.
#include <fmt/format.h>

#include "report/detail/page.h"
#include "report/detail/words.h"

namespace etchback::report::detail {

void add_against(Page& page, const Study& study) {
    if (!study.against) {
        return;
    }
    const blocks::Comparison& comparison = study.against->comparison;
    page.has_against = true;
    for (std::size_t i = 0; i < comparison.differences.size(); ++i) {
        const blocks::Difference& d = comparison.differences[i];
        DifferenceView view;
        view.number = std::to_string(i + 1);
        view.kind = blocks::name_of(d.kind);
        view.words = d.words;
        view.consequence = d.consequence;
        view.source = d.consequence_source;
        for (const circuit::PartId part : d.found) {
            view.parts.push_back(part_link(study.circuit[part].name));
        }
        page.differences.push_back(std::move(view));
    }
    page.against_words =
        comparison.proven()
            ? "No other way of laying the two circuits upon each other costs less."
            : "Found by a bounded search: another way of laying the two circuits upon each other "
              "may show fewer differences.";
}

}  // namespace etchback::report::detail
