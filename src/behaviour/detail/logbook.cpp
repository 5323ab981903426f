#include "behaviour/detail/logbook.h"

#include <fmt/format.h>

#include <algorithm>

namespace etchback::behaviour::detail {

void Logbook::tell(double t_s, const std::string& who, std::string key, std::string text) {
    Told& told = told_[{who, key}];
    ++told.number;
    StoryLine line{t_s, who, std::move(key), std::move(text)};
    if (told.number <= kFirstLines) {
        told.first.emplace_back(lines_++, std::move(line));
    } else {
        told.last = {lines_++, std::move(line)};
    }
}

std::vector<StoryLine> Logbook::story() const {
    std::vector<std::pair<std::int64_t, StoryLine>> all;
    for (const auto& [key, told] : told_) {
        all.insert(all.end(), told.first.begin(), told.first.end());
        if (told.number > kFirstLines) {
            auto last = told.last;
            if (const auto left_out = told.number - kFirstLines - 1; left_out > 0) {
                last.second.text += fmt::format(" ({} more of these before, not listed)", left_out);
            }
            all.push_back(std::move(last));
        }
    }
    std::sort(
        all.begin(), all.end(), [](const auto& a, const auto& b) { return a.first < b.first; });
    std::vector<StoryLine> lines;
    for (auto& [number, line] : all) {
        lines.push_back(std::move(line));
    }
    return lines;
}

void Logbook::count(double t_s, const std::string& who, const char* what) {
    Counted& c = counts_[{who, what}];
    if (c.number > 0) {
        const double span = t_s - c.previous_s;
        c.shortest_s = c.number == 1 ? span : std::min(c.shortest_s, span);
        c.longest_s = std::max(c.longest_s, span);
    }
    c.previous_s = t_s;
    ++c.number;
}

std::vector<Simulation::Count> Logbook::counts() const {
    std::vector<Simulation::Count> all;
    for (const auto& [key, c] : counts_) {
        all.push_back({key.first, key.second, c.number, c.shortest_s, c.longest_s});
    }
    return all;
}

}  // namespace etchback::behaviour::detail
