// From a file's text to the places of its headers, keys and values.

#include <algorithm>
#include <cassert>

#include "base/toml_reader.h"
#include "dossier/detail/layout.h"

namespace etchback::dossier::detail {

namespace {

constexpr std::string_view triple_basic = "\"\"\"";
constexpr std::string_view triple_literal = "'''";

// Walks over TOML that is known to be valid.
class Scanner {
public:
    explicit Scanner(std::string_view text) : text_(text) {}

    std::deque<Section> sections() {
        std::deque<Section> all(1);
        if (text_.substr(0, 3) == "\xEF\xBB\xBF") {
            at_ = 3;
        }
        all.back().header = {at_, at_};
        all.back().body_end = at_;
        while (at_ < text_.size()) {
            skip_blanks();
            if (peek() == '[') {
                all.push_back(header());
            } else if (peek() == '#' || at_line_end()) {
                comment_line(all.back());
            } else {
                all.back().entries.push_back(line_entry());
                all.back().body_end = at_;
            }
        }
        return all;
    }

private:
    char peek(std::size_t ahead = 0) const {
        return at_ + ahead < text_.size() ? text_[at_ + ahead] : '\0';
    }
    bool at_line_end() const {
        return at_ >= text_.size() || peek() == '\n' || (peek() == '\r' && peek(1) == '\n');
    }
    void skip_blanks() {
        while (peek() == ' ' || peek() == '\t') {
            ++at_;
        }
    }
    void skip_line() { at_ = std::min(text_.find('\n', at_), text_.size() - 1) + 1; }

    std::size_t line_start() const {
        const auto before = at_ == 0 ? std::string_view::npos : text_.rfind('\n', at_ - 1);
        return before == std::string_view::npos ? (text_.starts_with("\xEF\xBB\xBF") ? 3 : 0)
                                                : before + 1;
    }

    // A comment directly below an entry or header belongs to the section above it.
    void comment_line(Section& section) {
        const bool is_comment = peek() == '#';
        const bool follows_directly = section.body_end == line_start();
        skip_line();
        if (is_comment && follows_directly && comment_stays_above()) {
            section.body_end = at_;
        }
    }

    // False if the run of comments that began leads straight to a header: then it is the header's.
    bool comment_stays_above() const {
        Scanner look(text_);
        look.at_ = at_;
        look.skip_blanks();
        while (look.peek() == '#') {
            look.skip_line();
            look.skip_blanks();
        }
        return look.peek() != '[';
    }

    Section header() {
        Section section;
        section.header.begin = line_start();
        ++at_;
        if (peek() == '[') {
            section.is_element = true;
            ++at_;
        }
        section.path = key_path();
        skip_line();
        section.header.end = at_;
        section.body_end = at_;
        return section;
    }

    WrittenEntry line_entry() {
        const std::size_t begin = line_start();
        WrittenEntry made = entry();
        skip_line();
        made.lines = {begin, at_};
        return made;
    }

    WrittenEntry entry() {
        WrittenEntry made;
        made.key = key_path();
        assert(peek() == '=');
        ++at_;
        skip_blanks();
        made.value = value();
        return made;
    }

    // Leaves the scanner on what follows the key and its blanks: '=' or ']'.
    KeyPath key_path() {
        KeyPath path;
        while (true) {
            skip_blanks();
            path.push_back(key_piece());
            skip_blanks();
            if (peek() != '.') {
                return path;
            }
            ++at_;
        }
    }

    KeyPiece key_piece() {
        KeyPiece piece;
        piece.span.begin = at_;
        if (peek() == '"' || peek() == '\'') {
            skip_string();
            piece.span.end = at_;
            piece.name = unquoted(text_.substr(piece.span.begin, at_ - piece.span.begin));
            return piece;
        }
        while (at_ < text_.size() &&
               std::string_view(" \t.=]\r\n").find(peek()) == std::string_view::npos) {
            ++at_;
        }
        piece.span.end = at_;
        piece.name = text_.substr(piece.span.begin, at_ - piece.span.begin);
        return piece;
    }

    static std::string unquoted(std::string_view quoted) {
        const toml::table parsed = toml::parse("k = " + std::string(quoted));
        return parsed["k"].value_or(std::string());
    }

    void skip_string() {
        const char quote = peek();
        const std::string_view triple = quote == '"' ? triple_basic : triple_literal;
        if (text_.substr(at_, 3) == triple) {
            at_ += 3;
            while (at_ < text_.size() && text_.substr(at_, 3) != triple) {
                at_ += quote == '"' && peek() == '\\' ? 2 : 1;
            }
            at_ += 3;
            while (peek() == quote) {  // up to two quotation marks before the closing three
                ++at_;
            }
            return;
        }
        for (++at_; at_ < text_.size() && peek() != quote; ++at_) {
            if (quote == '"' && peek() == '\\') {
                ++at_;
            }
        }
        ++at_;
    }

    void skip_blanks_and_comments() {
        while (at_ < text_.size()) {
            if (peek() == '#') {
                skip_line();
            } else if (std::string_view(" \t\r\n").find(peek()) != std::string_view::npos) {
                ++at_;
            } else {
                return;
            }
        }
    }

    WrittenValue value() {
        WrittenValue made;
        made.span.begin = at_;
        if (peek() == '"' || peek() == '\'') {
            skip_string();
        } else if (peek() == '{') {
            made.kind = WrittenValue::Kind::table;
            inline_table(made);
        } else if (peek() == '[') {
            made.kind = WrittenValue::Kind::list;
            list(made);
        } else {
            skip_word();
        }
        made.span.end = at_;
        return made;
    }

    // A number, date or boolean; a date may have a blank before its time.
    void skip_word() {
        while (at_ < text_.size() &&
               std::string_view(",]}#\r\n\t ").find(peek()) == std::string_view::npos) {
            ++at_;
        }
        if (peek() == ' ' && peek(1) >= '0' && peek(1) <= '9') {
            ++at_;
            skip_word();
        }
    }

    void inline_table(WrittenValue& table) {
        ++at_;
        skip_blanks_and_comments();
        while (at_ < text_.size() && peek() != '}') {
            table.entries.push_back(entry());
            skip_blanks_and_comments();
            if (peek() == ',') {
                ++at_;
            }
            skip_blanks_and_comments();
        }
        ++at_;
    }

    void list(WrittenValue& list) {
        ++at_;
        skip_blanks_and_comments();
        while (at_ < text_.size() && peek() != ']') {
            list.elements.push_back(value());
            skip_blanks_and_comments();
            if (peek() == ',') {
                ++at_;
            }
            skip_blanks_and_comments();
        }
        ++at_;
    }

    std::string_view text_;
    std::size_t at_ = 0;
};

}  // namespace

std::deque<Section> sections_of(std::string_view text) {
    return Scanner(text).sections();
}

}  // namespace etchback::dossier::detail
