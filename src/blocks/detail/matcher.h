// Finding a pattern in the circuit: every way in which its slots fit, by backtracking that always
// goes on with the slot that has the fewest candidates.
#pragma once

#include <cstdint>
#include <string>
#include <vector>

#include "blocks/elements.h"
#include "blocks/net_terms.h"
#include "blocks/pattern.h"

namespace etchback::blocks::detail {

struct Match {
    const Pattern* pattern = nullptr;
    std::vector<std::vector<int>> elements;  // by slot: indices; empty where the slot is absent
    std::vector<circuit::NetId> nets;        // by the pattern's net; not known where unused
    std::string near;  // what the pattern says of a near match; empty for an exact one
    std::string lost;  // of a near match: the slot that is not there
};

class Matcher {
public:
    Matcher(const std::vector<Element>& elements, const NetTerms& terms, std::size_t nets);

    // All matches, each set of elements once, in the order of the elements.
    std::vector<Match> find(const Pattern& pattern);
    std::int64_t steps() const { return steps_; }  // candidates looked at, for benchmarks

private:
    struct Shape;
    struct Search;
    static std::vector<Shape> shapes_of(const Pattern& pattern);
    void search(Search& search, std::vector<Match>& found);
    void take(Search& search, int slot, int element, std::size_t pin, std::vector<Match>& found);
    bool nets_are_its_own(const Search& search, const std::vector<int>& match) const;
    void add_optional(Search& search, Match& match);
    bool bind(
        Search& search, int net, circuit::NetId to, bool& fresh, bool of_optional = false) const;
    bool fits(const Slot& slot, const Element& element) const;
    std::vector<int> candidates(const Search& search, int slot) const;

    const std::vector<Element>& elements_;
    const NetTerms& terms_;
    std::vector<std::vector<int>> on_net_;  // elements by net, sorted, each once
    std::int64_t steps_ = 0;
};

}  // namespace etchback::blocks::detail
