// JSON inside a script element of the page.
#pragma once

#include <string>

namespace etchback::report::detail {

// In a script element '<' could end it, in a page '&' could start an entity: neither may stand
// there, and JSON can spell both another way.
std::string safe_in_script(const std::string& json);

}  // namespace etchback::report::detail
