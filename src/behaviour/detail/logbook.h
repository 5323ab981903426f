// The story that machines tell and what they count.
#pragma once

#include <map>
#include <string>
#include <vector>

#include "behaviour/simulation.h"

namespace etchback::behaviour::detail {

class Logbook {
public:
    void tell(double t_s, const std::string& who, std::string key, std::string text);
    // Of each teller and key the first few lines and the last, in the order of time.
    std::vector<StoryLine> story() const;

    void count(double t_s, const std::string& who, const char* what);
    void reset_counts() { counts_.clear(); }
    std::vector<Simulation::Count> counts() const;

private:
    static constexpr int kFirstLines = 3;
    struct Told {
        std::int64_t number = 0;
        std::vector<std::pair<std::int64_t, StoryLine>> first;
        std::pair<std::int64_t, StoryLine> last;
    };
    struct Counted {
        std::int64_t number = 0;
        double previous_s = 0.0, shortest_s = 0.0, longest_s = 0.0;
    };
    std::int64_t lines_ = 0;
    std::map<std::pair<std::string, std::string>, Told> told_;
    std::map<std::pair<std::string, std::string>, Counted> counts_;
};

}  // namespace etchback::behaviour::detail
