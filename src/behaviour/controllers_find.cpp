// Which family a dossier means by its words.
#include <algorithm>
#include <cctype>
#include <set>

#include "base/text.h"
#include "behaviour/controllers.h"

namespace etchback::behaviour {

namespace {

// Words that say nothing about which family it is.
const std::set<std::string, std::less<>> silent = {"a",
                                                   "an",
                                                   "and",
                                                   "by",
                                                   "controller",
                                                   "converter",
                                                   "driver",
                                                   "for",
                                                   "from",
                                                   "in",
                                                   "mode",
                                                   "of",
                                                   "on",
                                                   "or",
                                                   "the",
                                                   "to",
                                                   "type",
                                                   "with"};

std::set<std::string> words_of(std::string_view text) {
    std::set<std::string> words;
    std::string word;
    const auto finish = [&] {
        if (!word.empty() && !silent.contains(word)) {
            words.insert(word);
        }
        word.clear();
    };
    for (const char c : base::lowered(text)) {
        if (std::isalnum(static_cast<unsigned char>(c)) != 0) {
            word += c;
        } else {
            finish();
        }
    }
    finish();
    return words;
}

std::size_t common(const std::set<std::string>& a, const std::set<std::string>& b) {
    return static_cast<std::size_t>(std::count_if(
        a.begin(), a.end(), [&](const std::string& word) { return b.contains(word); }));
}

// How well two ways of saying it fit: twice what they share over what they have together, as a
// fraction of a thousand. Nothing where too little is shared. What comes before the first comma of
// a known name is what it is (flyback, buck, linear); what shares none of it is something else.
std::size_t fit(const std::set<std::string>& said, std::string_view name) {
    const auto known = words_of(name);
    if (common(said, words_of(name.substr(0, name.find(',')))) == 0) {
        return 0;
    }
    const std::size_t shared = common(said, known);
    if (shared == 0 || shared < std::min<std::size_t>(2, known.size())) {
        return 0;
    }
    // One of the two must be contained in the other, or most of both must agree.
    const bool contained = shared == said.size() || shared == known.size();
    const std::size_t share = 2000 * shared / (said.size() + known.size());
    return contained || share >= 600 ? share : 0;
}

}  // namespace

const Family* find_family(const std::vector<Family>& families, std::string_view written) {
    const auto said = words_of(written);
    const Family* best = nullptr;
    std::size_t best_fit = 0;
    bool tied = false;
    for (const Family& family : families) {
        std::size_t here = fit(said, family.family);
        for (const std::string& other : family.also) {
            here = std::max(here, fit(said, other));
        }
        if (here > best_fit) {
            best = &family;
            best_fit = here;
            tied = false;
        } else if (here == best_fit && here > 0) {
            tied = true;
        }
    }
    return tied ? nullptr : best;
}

}  // namespace etchback::behaviour
