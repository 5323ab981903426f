#include "base/error.h"

#include <algorithm>
#include <tuple>

namespace etchback::base {

std::string to_string(const Error& error) {
    std::string text = error.place.file;
    if (error.place.line > 0) {
        text += (text.empty() ? "line " : ":") + std::to_string(error.place.line);
        if (error.place.column > 0) {
            text += ":" + std::to_string(error.place.column);
        }
    }
    if (!text.empty()) {
        text += ": ";
    }
    text += error.what;
    if (!error.todo.empty()) {
        text += "; " + error.todo;
    }
    return text;
}

void sort_by_place(Errors& errors) {
    const auto key = [](const Error& e) {
        return std::tie(e.place.file, e.place.line, e.place.column, e.what, e.todo);
    };
    std::stable_sort(errors.begin(), errors.end(), [&](const Error& a, const Error& b) {
        return key(a) < key(b);
    });
}

}  // namespace etchback::base
