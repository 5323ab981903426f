// The file of a capture, in one of the manners in which instruments write tables.
#pragma once

#include <string>

#include "bench-capture/captures.h"
#include "bench-capture/record.h"

namespace etchback::capture {

std::string text_of(const Capture& capture, const Taken& taken);

}  // namespace etchback::capture
