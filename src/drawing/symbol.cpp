#include "drawing/symbol.h"

#include <algorithm>

#include "drawing/detail/path.h"
#include "drawing/detail/pen.h"
#include "drawing/detail/shapes.h"

namespace etchback::drawing {
namespace {

std::vector<detail::ShapeRow> all_shapes() {
    std::vector<detail::ShapeRow> all;
    for (const auto rows : {detail::passive_shapes(),
                            detail::diode_shapes(),
                            detail::transistor_shapes(),
                            detail::winding_shapes(),
                            detail::chip_shapes(),
                            detail::terminal_shapes(),
                            detail::contact_shapes()}) {
        all.insert(all.end(), rows.begin(), rows.end());
    }
    return all;
}

// A shape finds its pins by name; one that found a pin twice or missed one is not used.
bool has_every_pin_once(const Symbol& symbol, std::size_t count) {
    std::vector<bool> seen(count, false);
    for (const SymbolPin& pin : symbol.pins) {
        const auto i = static_cast<std::size_t>(pin.pin);
        if (i >= count || seen[i]) {
            return false;
        }
        seen[i] = true;
    }
    return symbol.pins.size() == count;
}

}  // namespace

Symbol symbol_of(const circuit::Part& part, Standard standard, std::span<const double> pin_height) {
    for (const detail::ShapeRow& row : all_shapes()) {
        if (row.id != part.kind.symbol) {
            continue;
        }
        const std::optional<Symbol> symbol = row.shape({row.id, part, standard, pin_height});
        if (symbol && has_every_pin_once(*symbol, part.pins.size())) {
            return *symbol;
        }
    }
    return detail::box_shape({"box", part, standard, pin_height});
}

std::vector<std::string> symbol_ids() {
    std::vector<std::string> ids{"box"};
    for (const detail::ShapeRow& row : all_shapes()) {
        ids.emplace_back(row.id);
    }
    std::sort(ids.begin(), ids.end());
    return ids;
}

}  // namespace etchback::drawing
