#include "report/detail/xml_text.h"

namespace etchback::report::detail {

std::string xml_text(std::string_view text) {
    std::string safe;
    safe.reserve(text.size());
    for (const char c : text) {
        switch (c) {
            case '&':
                safe += "&amp;";
                break;
            case '<':
                safe += "&lt;";
                break;
            case '>':
                safe += "&gt;";
                break;
            case '"':
                safe += "&quot;";
                break;
            default:
                if (static_cast<unsigned char>(c) < 0x20 && c != '\n' && c != '\t') {
                    safe += "\xef\xbf\xbd";
                } else {
                    safe += c;
                }
        }
    }
    return safe;
}

}  // namespace etchback::report::detail
