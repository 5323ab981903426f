// A circuit as the comparison sees it: elements with pins on numbered nets, in an order that
// depends on structure alone, so that names and the order of the input have no say.
#pragma once

#include <cstdint>
#include <optional>
#include <vector>

#include "circuit/circuit.h"

namespace etchback::blocks::detail {

constexpr int edit = 1000;  // costs are counted in thousandths of an edit

struct Element {
    std::vector<int> parts;       // one, or those folded into it
    const circuit::Part* part;    // the first of them
    std::optional<double> value;  // of all together
    std::vector<int> nets;        // per pin; -1: open
    bool series = false;          // how it was folded, if it was
    bool folded() const { return parts.size() > 1; }
};

struct Model {
    std::vector<Element> elements;
    std::vector<int> net_of;             // model's net -> circuit's net
    std::vector<std::uint64_t> colours;  // of parts, sorted: alike for circuits that are alike
    int nets() const { return static_cast<int>(net_of.size()); }
};

Model model_of(const circuit::Circuit& circuit);

// Elements that can be folded into one: two-pin parts of one kind with values, in series or in
// parallel. Indices of elements.
struct Fold {
    std::vector<int> elements;
    bool series = false;
};
std::vector<Fold> folds(const Model& model);
Model folded(const Model& model, const Fold& fold);

// True for parts of two pins that may be put in either way round.
bool turns_freely(const circuit::Part& part);

// A key that is the same for pins that may be exchanged (the two AC pins of a bridge).
std::uint64_t pin_class(const circuit::Part& part, std::size_t pin);

}  // namespace etchback::blocks::detail
