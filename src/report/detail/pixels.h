#pragma once

#include <fmt/format.h>

#include <string>

namespace etchback::report::detail {

// A place or a length in a picture: to a tenth of a pixel, without a needless ".0".
inline std::string px(double value) {
    std::string text = fmt::format("{:.1f}", value);
    if (text.ends_with(".0")) {
        text.resize(text.size() - 2);
    }
    return text == "-0" ? "0" : text;
}

}  // namespace etchback::report::detail
