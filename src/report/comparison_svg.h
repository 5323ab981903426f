// Two circuits side by side, like parts in like places, with their differences marked.
#pragma once

#include <string>

#include "blocks/compare.h"
#include "drawing/drawing.h"

namespace etchback::report {

struct ComparisonSvg {
    drawing::Standard standard = drawing::Standard::iec;
    std::string found_title = "Found";
    std::string reference_title = "Reference";
};

// The reference on the left (above, where both are wide), the found circuit on the right. Marks
// differ by shape and carry the number of the difference in the list below: a dashed box is
// missing, a double box added, a rounded box split or merged, an ellipse changed, a box with cut
// corners connected otherwise.
std::string comparison_svg(const blocks::Comparison& comparison,
                           const circuit::Circuit& found,
                           const circuit::Circuit& reference,
                           const ComparisonSvg& options = {});

}  // namespace etchback::report
