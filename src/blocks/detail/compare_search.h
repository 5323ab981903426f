// The search for the cheapest matching of two models.
#pragma once

#include <vector>

#include "blocks/detail/compare_likeness.h"
#include "blocks/detail/compare_model.h"
#include "blocks/detail/compare_pairs.h"

namespace etchback::blocks::detail {

struct MovedPin {
    int there, here;          // elements
    int pin_there, pin_here;  // their pins
    int group = -1;           // of missing or added elements that explains it
};

// Missing, or added, elements that hang together by nets that are theirs alone.
struct Group {
    bool missing = true;
    std::vector<int> elements;
    std::vector<int> nets;  // that they touch, in their own model
};

struct Matching {
    std::vector<int> here_of;  // per element there: element here or -1
    std::vector<int> way_of;   // per element there
    std::vector<int> net_of;   // per net there: net here or -1
    int cost = 0;              // with every moved pin counted
    int told = 0;              // as it is told to people: explained pins cost nothing
    std::vector<MovedPin> moved;
    std::vector<Group> groups;
};

class Search {
public:
    Search(const Model& there, const Model& here);
    const PairCost& pair(int there, int here) const {
        return pairs_[static_cast<std::size_t>(there)][static_cast<std::size_t>(here)];
    }
    // From seeds, then from disturbed results, `rounds` in all.
    Matching best(int rounds, int good_enough);
    int rounds() const { return rounds_; }

private:
    using Table = std::vector<std::vector<int>>;
    const Model& there_;
    const Model& here_;
    std::vector<std::vector<PairCost>> pairs_;
    int rounds_ = 0;

    Matching settle(std::vector<int> net_of, const Likeness* likeness);
    void assign_parts(Matching& matching, const Likeness* likeness) const;
    void assign_nets(Matching& matching) const;
    void assess(Matching& matching) const;
    void find_groups(Matching& matching, bool missing) const;
    void explain(Matching& matching) const;
};

// Column of each row such that the sum of gains is largest; -1 where a row gains nothing.
std::vector<int> best_assignment(const std::vector<std::vector<int>>& gain, std::size_t columns);

}  // namespace etchback::blocks::detail
