#include "report/detail/json_in_script.h"

namespace etchback::report::detail {

std::string safe_in_script(const std::string& json) {
    std::string safe;
    safe.reserve(json.size());
    for (const char c : json) {
        switch (c) {
            case '<':
                safe += "\\u003c";
                break;
            case '>':
                safe += "\\u003e";
                break;
            case '&':
                safe += "\\u0026";
                break;
            default:
                safe += c;
        }
    }
    return safe;
}

}  // namespace etchback::report::detail
