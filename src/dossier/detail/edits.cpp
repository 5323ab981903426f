#include <algorithm>
#include <tuple>

#include "dossier/detail/rewriting.h"

namespace etchback::dossier::detail {

namespace {

std::string with_windows_line_ends(std::string_view text) {
    std::string result;
    for (std::size_t at = 0; at < text.size(); ++at) {
        if (text[at] == '\n' && (at == 0 || text[at - 1] != '\r')) {
            result += '\r';
        }
        result += text[at];
    }
    return result;
}

}  // namespace

bool has_windows_line_ends(std::string_view text) {
    const auto end = text.find('\n');
    return end != std::string_view::npos && end > 0 && text[end - 1] == '\r';
}

Edits::Edits(std::string_view text) : text_(text), windows_(has_windows_line_ends(text)) {}

void Edits::replace(Span span, std::string text) {
    edits_.push_back({span, windows_ ? with_windows_line_ends(text) : std::move(text)});
}

void Edits::insert(std::size_t at, std::string text, What what) {
    replace({at, at}, std::move(text));
    edits_.back().what = what;
}

void Edits::remove(Span span) {
    edits_.push_back({span, ""});
}

std::string Edits::applied() const {
    std::vector<Edit> sorted = edits_;
    std::stable_sort(sorted.begin(), sorted.end(), [](const Edit& a, const Edit& b) {
        const auto key = [](const Edit& edit) {
            const bool inserts = edit.span.begin == edit.span.end;
            return std::tuple(edit.span.begin, !inserts, edit.what);
        };
        return key(a) < key(b);
    });
    std::string result;
    std::size_t at = 0;
    for (const Edit& edit : sorted) {
        if (edit.span.begin > at) {
            result += text_.substr(at, edit.span.begin - at);
        }
        result += edit.text;
        at = std::max(at, edit.span.end);
    }
    return result + std::string(text_.substr(std::min(at, text_.size())));
}

}  // namespace etchback::dossier::detail
