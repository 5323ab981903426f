#include "parts/detail/folded.h"

#include <algorithm>
#include <array>

#include "base/text.h"

namespace etchback::parts {
namespace {

bool is_digit(char c) {
    return c >= '0' && c <= '9';
}

bool adds_nothing(const std::string& word) {
    constexpr std::array<std::string_view, 11> words = {"smd",
                                                        "smt",
                                                        "chip",
                                                        "case",
                                                        "size",
                                                        "body",
                                                        "package",
                                                        "imperial",
                                                        "inch",
                                                        "resistor",
                                                        "capacitor"};
    return std::find(words.begin(), words.end(), word) != words.end();
}

// R1206, C0805: the kind's letter before a chip's size.
bool has_size_letter(const std::string& word) {
    return word.size() >= 5 && word.size() <= 6 &&
           (word[0] == 'r' || word[0] == 'c' || word[0] == 'l') &&
           std::all_of(word.begin() + 1, word.end(), is_digit);
}

}  // namespace

std::string folded(std::string_view word) {
    std::string result = base::lowered(word);
    std::erase_if(result, [](char c) { return c == ' ' || c == '-' || c == '_' || c == '\t'; });
    return result;
}

std::string folded_body(std::string_view name) {
    std::string result;
    std::string word;
    const auto take_word = [&] {
        if (!adds_nothing(word)) {
            result += has_size_letter(word) ? word.substr(1) : word;
        }
        word.clear();
    };
    for (const char c : base::lowered(name)) {
        if (c == ' ' || c == '-' || c == '_' || c == '\t') {
            take_word();
        } else {
            word += c == ',' ? '.' : c;
        }
    }
    take_word();
    return result;
}

}  // namespace etchback::parts
