// Text that stands in XML of ours.
#pragma once

#include <string>
#include <string_view>

namespace etchback::report::detail {

// For text and for attributes in double quotes. Control characters, which XML 1.0 does not allow,
// become U+FFFD.
std::string xml_text(std::string_view text);

}  // namespace etchback::report::detail
