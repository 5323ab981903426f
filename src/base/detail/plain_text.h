// The many ways in which people type the same sign, brought to one.
#pragma once

#include <string>
#include <string_view>

#include "base/error.h"

namespace etchback::base {

// A quantity's text in ASCII: µ and μ become u, Ω becomes ohm, ±, +/- become +-, every dash and
// minus becomes -, ° becomes deg, ² becomes 2, the ellipsis three dots, and every kind of space,
// one or many, one space. Spaces at the ends fall away. A sign that has no place in a quantity,
// bytes that are no UTF-8 and text beyond 100 bytes are errors.
Result<std::string> plain_text(std::string_view text);

// The text in quotation marks for a message, cut if it is long.
std::string quoted(std::string_view text);

}  // namespace etchback::base
