// Dossiers made up from a seed, with everything in them that a dossier can hold: odd names, several
// lines of text, ranges and tolerances. The same seed gives the same dossier on every machine.
#pragma once

#include <cstdint>
#include <random>
#include <span>
#include <string>
#include <vector>

#include "dossier/dossier.h"
#include "parts/catalogue.h"

namespace etchback::dossier {

class Dice {
public:
    explicit Dice(std::uint64_t seed) : engine_(seed) {}

    // 0 to `count` - 1, the same on every machine (the standard's distributions are not).
    std::size_t below(std::size_t count) { return count == 0 ? 0 : engine_() % count; }
    bool chance(unsigned percent) { return below(100) < percent; }
    template <typename T>
    const T& one_of(const std::vector<T>& choices) {
        return choices[below(choices.size())];
    }

private:
    std::mt19937_64 engine_;
};

class Generator {
public:
    Generator(std::uint64_t seed, const parts::Catalogue& catalogue);

    Dossier dossier();
    // `dossier` with a few changes of any kind, from a single letter to a part removed.
    Dossier edited(Dossier dossier);

    Part part(const std::string& name);
    std::string free_part_name(const std::vector<Part>& taken);
    Quantity positive(base::Unit unit);
    Dice& dice() { return dice_; }

private:
    std::string words(bool may_be_empty);
    std::string long_words();
    std::string net();
    double figure();
    Amount amount(base::Unit unit) { return {positive(unit), {}}; }
    std::optional<Amount> perhaps(base::Unit unit);
    void add_pins(Part& part, const parts::Kind* kind);
    void add_windings(Part& part);
    void add_properties(Part& part, const parts::Kind* kind);
    void add_known(Part& part);
    Item item();
    Claim claim();
    Supply supply();
    Reading reading(const Dossier& dossier);
    Continuity beep(const Dossier& dossier);
    Waveform waveform(const Dossier& dossier);
    Photo photo();
    Text photo_of(const Dossier& dossier);
    KnownLength length(const Dossier& dossier);
    Board board(const Dossier& dossier);
    Stroke stroke(const Dossier& dossier);
    void add_pads(Part& part, const Dossier& dossier);
    Deed deed(const Dossier& dossier, double span_s);
    Scenario scenario(const Dossier& dossier);
    PartWish part_wish(const std::vector<std::string>& earlier, int column);
    DrawingWishes wishes(const Dossier& dossier);
    NetNote net_note(const std::string& name);
    void add_nets(Dossier& dossier);
    std::vector<Text> two_nets(const Dossier& dossier);
    void edit_part(Part& part);
    void edit_lists(Dossier& dossier);
    void edit_parts(Dossier& dossier);
    void edit_rest(Dossier& dossier);

    Dice dice_;
    const parts::Catalogue& catalogue_;
    int names_ = 0;
};

// Takes out what speaks of nets and pins that are no longer there.
void drop_dangling(Dossier& dossier);

}  // namespace etchback::dossier
