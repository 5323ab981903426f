// Polarised parts that stand the wrong way across nets whose order is known.
#include <fmt/format.h>

#include <algorithm>

#include "circuit/detail/islands.h"
#include "circuit/detail/known_order.h"
#include "circuit/detail/low_paths.h"
#include "circuit/detail/sanity_checks.h"

namespace etchback::circuit::detail {

namespace {

using parts::PinRole;

struct Poles {
    const Pin* plus = nullptr;
    const Pin* minus = nullptr;
};

// The pins of a two-pin polarised part: for diodes and LEDs the anode is plus (the way they
// conduct), for Zener diodes the cathode.
std::optional<Poles> poles_of(const Part& part) {
    Poles poles;
    for (const Pin& pin : part.pins) {
        if (pin.role == PinRole::positive) {
            poles.plus = &pin;
        } else if (pin.role == PinRole::negative) {
            poles.minus = &pin;
        }
    }
    const bool whole = part.pins.size() == 2 && poles.plus != nullptr && poles.minus != nullptr &&
                       poles.plus->net.known() && poles.minus->net.known();
    return whole ? std::optional(poles) : std::nullopt;
}

// How a part takes the wrong polarity, if it matters.
struct Sort {
    bool against = false;  // wrong if its plus is on the lower net
    bool along = false;    // wrong if its plus is on the higher net: it would conduct
    bool doubtful = false;
    const char* words = "";
};

Sort sort_of(const Part& part) {
    const std::string& family = part.kind.family;
    if (family == "capacitor") {
        return {true, false, false, "is the wrong way round"};
    }
    if (family == "led") {
        return {true, false, false, "is the wrong way round and cannot light"};
    }
    if (part.kind.id == "diode" || part.kind.id == "schottky_diode") {
        return {false, true, false, "would short the supply in its conducting direction"};
    }
    if (family == "diode") {  // Zener and suppressor diodes: their plus is the cathode
        return {true, false, true, "conducts forwards across the supply"};
    }
    return {};
}

class Check {
public:
    Check(const Circuit& circuit, Complaints& out)
        : circuit_(circuit), out_(out), dc_(same_dc(circuit)) {
        for (Order& order : known_orders(circuit)) {
            // What carries one direct voltage has no order: a coil across it, or a wrong trace.
            if (!dc_.together(order.high.index, order.low.index)) {
                orders_.push_back(std::move(order));
            }
        }
    }

    void run() {
        for (std::size_t i = 0; i < circuit_.parts.size(); ++i) {
            const PartId id{static_cast<int>(i)};
            check_part(id);
            check_across_mains(id);
            check_bridge_on_return(id);
        }
        check_contradictions();
    }

private:
    bool same(NetId a, NetId b) { return dc_.together(a.index, b.index); }

    const Order* order_of(NetId high, NetId low, PartId not_from) {
        for (const Order& order : orders_) {
            if (order.from != not_from && same(order.high, high) && same(order.low, low)) {
                return &order;
            }
        }
        return nullptr;
    }

    std::string stands(const Poles& poles) const {
        return fmt::format("{} is on {} and {} on {}",
                           poles.plus->name,
                           in_quotes(circuit_[poles.plus->net].name),
                           poles.minus->name,
                           in_quotes(circuit_[poles.minus->net].name));
    }

    void complain(const Poles& poles,
                  const std::string& what,
                  const std::string& todo,
                  std::vector<std::string> parts,
                  bool doubtful) {
        out_.push_back({ComplaintKind::impossible_polarity,
                        {poles.plus->place, what, todo},
                        std::move(parts),
                        {circuit_[poles.plus->net].name, circuit_[poles.minus->net].name},
                        doubtful});
    }

    void check_part(PartId id) {
        const Part& part = circuit_[id];
        const Sort sort = sort_of(part);
        const auto poles = poles_of(part);
        if (!poles || !(sort.against || sort.along)) {
            return;
        }
        const Order* order = sort.against ? order_of(poles->minus->net, poles->plus->net, id)
                                          : order_of(poles->plus->net, poles->minus->net, id);
        if (order == nullptr) {
            return;
        }
        std::vector<std::string> parts{part.name};
        std::string others = part.name;
        if (order->from) {
            parts.push_back(circuit_[*order->from].name);
            others += " and of " + parts.back();
        }
        complain(
            *poles,
            fmt::format(
                "{} {}: its {}, but {}", part.name, sort.words, stands(*poles), order->because),
            fmt::format("look again at the polarity of {} on the board, and swap the pins that "
                        "are written wrong",
                        others),
            std::move(parts),
            sort.doubtful);
    }

    bool joined_to_role(NetId net, std::string_view role) {
        for (std::size_t i = 0; i < circuit_.nets.size(); ++i) {
            if (circuit_.nets[i].role == role && same(net, NetId{static_cast<int>(i)})) {
                return true;
            }
        }
        return false;
    }

    void check_across_mains(PartId id) {
        const Part& part = circuit_[id];
        const auto poles = poles_of(part);
        if (!poles || part.kind.family != "capacitor") {
            return;
        }
        const NetId a = poles->plus->net;
        const NetId b = poles->minus->net;
        const bool across = (joined_to_role(a, "live") && joined_to_role(b, "neutral")) ||
                            (joined_to_role(b, "live") && joined_to_role(a, "neutral"));
        if (across && !same(a, b)) {
            complain(*poles,
                     fmt::format("{} is a polarised capacitor across the mains: its {}",
                                 part.name,
                                 stands(*poles)),
                     fmt::format("look again at where {} goes, or at what kind it is", part.name),
                     {part.name},
                     false);
        }
    }

    // A net declared 0 V on a bridge's plus. With a second sign of 0 V on it there's no doubt.
    void check_bridge_on_return(PartId id) {
        const Part& part = circuit_[id];
        const auto plus = part.pin("plus");
        const auto minus = part.pin("minus");
        if (part.kind.id != "bridge_rectifier" || !plus || !minus) {
            return;
        }
        const Poles poles{&part.pins[*plus], &part.pins[*minus]};
        if (!poles.plus->net.known() || !poles.minus->net.known() ||
            !joined_to_role(poles.plus->net, "return") || same(poles.plus->net, poles.minus->net)) {
            return;
        }
        const std::vector<PinRef>& pins = circuit_[poles.plus->net].pins;
        const bool grounded = std::any_of(pins.begin(), pins.end(), [&](const PinRef& ref) {
            return circuit_[ref].role == PinRole::ground;
        });
        complain(
            poles,
            fmt::format("the plus of {} is on {}, which is declared as a return",
                        part.name,
                        in_quotes(circuit_[poles.plus->net].name)),
            fmt::format("look again at the markings of {}, or at the role of that net", part.name),
            {part.name},
            !grounded);
    }

    // Two parts that set one pair of nets in opposite orders; told at the later one.
    void check_contradictions() {
        for (std::size_t i = 0; i < orders_.size(); ++i) {
            for (std::size_t k = 0; k < i; ++k) {
                const Order& a = orders_[k];
                const Order& b = orders_[i];
                if (a.from && b.from && a.from != b.from && same(a.high, b.low) &&
                    same(a.low, b.high)) {
                    contradict(a, b);
                }
            }
        }
    }

    void contradict(const Order& a, const Order& b) {
        const Part& first = circuit_[*a.from];
        const Part& second = circuit_[*b.from];
        base::Place place = second.said.place;
        for (const Pin& pin : second.pins) {
            if (pin.net == b.high) {
                place = pin.place;
            }
        }
        out_.push_back({ComplaintKind::impossible_polarity,
                        {place,
                         fmt::format("{}, but {}", a.because, b.because),
                         fmt::format("look again at the polarity of {} and of {} on the board",
                                     first.name,
                                     second.name)},
                        {first.name, second.name},
                        {circuit_[a.high].name, circuit_[a.low].name},
                        false});
    }

    const Circuit& circuit_;
    Complaints& out_;
    base::DisjointSets dc_;
    std::vector<Order> orders_;
};

}  // namespace

void check_polarity(const Circuit& circuit, Complaints& out) {
    Check(circuit, out).run();
}

}  // namespace etchback::circuit::detail
