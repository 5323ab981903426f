// The router at work: the grid with all parts on it and the wires of each net as they stand.
#pragma once

#include <cstdint>
#include <limits>
#include <utility>
#include <vector>

#include "drawing/detail/place_dice.h"
#include "drawing/detail/route_nets.h"
#include "drawing/detail/route_search.h"
#include "drawing/detail/route_shape.h"

namespace etchback::drawing::detail {

struct SetSign {
    int node = -1;
    SignOffer offer;
};

// The wires of one net.
struct Track {
    std::vector<std::vector<int>> pieces;  // nodes of each connected piece
    std::vector<char> has_sign;            // per piece
    Edges edges;                           // owned on the grid
    std::vector<SetSign> signs;
    int cost = 0;
    bool complete = true;
};

constexpr int return_sign = 110;
constexpr int far_sign = 1800;  // a flag where a wire was wanted

class Router {
public:
    // `also`: where parts will stand later, so that the grid holds them there, too.
    Router(const Model& model, Placement placement, const Placement* also = nullptr);

    // Lays all nets; those that were blocked go first the next time.
    void lay_all();
    // Lays each net anew now that the others lie, and keeps the better.
    void improve_all();
    // Shifts parts by a step or two where that takes a jog out of a wire.
    void straighten();
    // Puts signs in place of the wires of returns and supplies where those cross too much.
    void set_signs();
    // Tries other places and orientations of parts, wires laid anew each time, and keeps what is
    // better.
    void refine(int tries, long work, std::uint64_t seed);
    Routing harvest() const;

    struct Stand {
        int part = -1;
        Step at;
        int variant = 0;
    };
    // Redrawing: wires of an earlier drawing; parts moved whatever is in the way, and some nets
    // laid anew; a last touch of some parts.
    bool adopt(int net, const RoutedNet& drawn);
    bool settle(const std::vector<Stand>& asked, const std::vector<int>& anew);
    void refine_some(const std::vector<int>& parts, int tries, std::uint64_t seed);
    const Placement& placement() const { return placement_; }

private:
    const Variant& variant(int part) const;
    Point origin(int part) const;
    int pin_node(PinOf pin) const;
    Direction facing(PinOf pin) const;

    void block_part(int part, int times);
    void reserve_escapes();
    void release_escapes();
    double span_of(int net) const;
    std::vector<int> order_of_nets() const;
    const std::vector<SignOffer>& offers_for(int net);

    void own(int net, int node, Direction d);
    void start_track(int net);
    void add_pins(int net, const std::vector<PinOf>& pins);
    int next_piece(int net) const;
    void keep_to_zone(int net, Search::Job& job) const;
    void lay(int net);
    void lay_pieces(int net);
    bool lay_trunk(int net);
    int trunk_price(int net, int y, int x0, int x1) const;
    void trim(int net);
    bool commit(int net, int piece, const Way& way);
    Box sign_box_of(const SetSign& sign) const;
    Box sign_area(const SetSign& sign) const;
    void block_sign(const SetSign& sign, int times);
    bool crosses(int net) const;
    std::vector<int> crossed_by(int net) const;
    void lift(int net);
    void put_back(int net, const Track& track);
    bool improve(int net);

    void find_pieces(int net, Track& track) const;
    std::optional<Stand> free_place(int part);
    bool may_stand_at(const Stand& there, const Stand& home) const;
    bool make_way(std::vector<Stand>& all, std::vector<Stand>& old);
    std::vector<Stand> stands_without_jog() const;
    bool is_free_for(int part) const;
    double disorder(int part) const;
    std::vector<Box> closed_by(int part) const;
    std::vector<int> nets_in_the_way(const std::vector<Stand>& stands);
    std::vector<PinOf> lift_some(int net, const std::vector<Stand>& stands);
    void lay_some(int net, const std::vector<PinOf>& pins);
    Stand stand_of(int part) const;
    std::vector<Stand> shifted(const std::vector<int>& parts, Step by) const;
    std::vector<int> group_of(int part, bool upright) const;
    void stand(const std::vector<Stand>& stands);
    void move_parts(const std::vector<Stand>& stands);
    int look() const;
    int price_of(const std::vector<int>& nets) const;
    int least_price(int net) const;
    bool may_stand(const std::vector<Stand>& stands) const;
    std::vector<Stand> with_ties(const std::vector<Stand>& asked) const;
    bool try_stands(const std::vector<Stand>& asked);
    bool troubled(int part) const;
    Stand propose(int part, Dice& dice) const;
    std::vector<Stand> propose_some(int part, Dice& dice) const;

    const Model& model_;
    Placement placement_;
    Grid grid_;
    Search search_;
    std::vector<Track> tracks_;
    std::vector<int> order_;
    std::vector<std::pair<NetStyle, std::vector<SignOffer>>>
        offers_;                // per net, and for what style
    std::vector<Box> closing_;  // what the parts of the present move will keep free
    int most_cost_ = 1 << 28;   // of a net: one that would be dearer counts as blocked
    long most_work_ = std::numeric_limits<long>::max();  // of the search: the same
    std::vector<NetStyle> styles_;                       // per net, as it is drawn
};

}  // namespace etchback::drawing::detail
