// Findings of a test board, and ways to ask about them.
#pragma once

#include <gmock/gmock.h>

#include <string>
#include <vector>

#include "../blocks/board.h"
#include "bench/power_triangle.h"
#include "findings/finding.h"

namespace etchback::test {

inline const findings::RuleTexts& rule_texts() {
    static const findings::RuleTexts loaded = [] {
        auto result = findings::load_rule_texts(ETCHBACK_SOURCE_DIR "/data/findings");
        if (!result) {
            throw std::runtime_error(base::to_string(result.errors().front()));
        }
        return *std::move(result);
    }();
    return loaded;
}

inline std::vector<findings::Finding> findings_of(const Derived& d) {
    const auto triangles = bench::power_triangles(d.dossier.readings);
    return findings::find(
        {d.dossier, d.circuit, d.domains, d.voltages, d.figures, triangles, catalogue()},
        rule_texts());
}
inline std::vector<findings::Finding> findings_of(const Board& board) {
    return findings_of(Derived(board));
}

// The text with plain spaces, as a test writes them.
inline std::string plain(std::string text) {
    const std::string unbroken = "\u00a0";
    for (auto at = text.find(unbroken); at != std::string::npos; at = text.find(unbroken)) {
        text.replace(at, unbroken.size(), " ");
    }
    return text;
}

inline std::vector<std::string> ids_of(const Board& board) {
    std::vector<std::string> ids;
    for (const auto& f : findings_of(board)) {
        ids.push_back(f.id);
    }
    return ids;
}

inline findings::Finding the_finding(const Board& board, const std::string& id) {
    for (auto& f : findings_of(board)) {
        if (f.id == id) {
            f.title = plain(f.title);
            f.text = plain(f.text);
            return f;
        }
    }
    ADD_FAILURE() << "no finding " << id;
    return {};
}

inline bool found(const Board& board, const std::string& id) {
    const auto ids = ids_of(board);
    return std::find(ids.begin(), ids.end(), id) != ids.end();
}

}  // namespace etchback::test
