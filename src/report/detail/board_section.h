// The section of the page that shows the board.
#pragma once

#include <kainjow/mustache.hpp>

#include "base/error.h"
#include "report/study.h"

namespace etchback::report::detail {

// Sets what section-board.mustache asks for. Errors: a photo that cannot be made small.
base::Errors add_board(kainjow::mustache::data& data, const Study& study);

}  // namespace etchback::report::detail
