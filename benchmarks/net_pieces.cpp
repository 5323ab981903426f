#include "net_pieces.h"

#include <map>
#include <numeric>

#include "drawing/detail/wires.h"

namespace etchback::benchmarks {
namespace {

using drawing::Point;
using drawing::Segment;

// A pin, a sign or a straight piece of wire.
struct Item {
    std::vector<Segment> line;  // of no length for a pin or sign
    circuit::PinRef pin;
    int sign = -1;
};

bool join(const Item& a, const Item& b) {
    const Segment& s = a.line[0];
    const Segment& t = b.line[0];
    return drawing::detail::touches(s, t.a) || drawing::detail::touches(s, t.b) ||
           drawing::detail::touches(t, s.a) || drawing::detail::touches(t, s.b);
}

std::vector<std::vector<Item>> items_of(const circuit::Circuit& circuit,
                                        const drawing::Drawing& drawing) {
    std::vector<std::vector<Item>> items(circuit.nets.size());
    for (const drawing::PlacedPart& placed : drawing.parts) {
        for (const drawing::SymbolPin& pin : placed.symbol.pins) {
            const circuit::PinRef ref{placed.part, pin.pin};
            const Point at{placed.at.x + pin.at.x, placed.at.y + pin.at.y};
            if (circuit[ref].net.known()) {
                items[static_cast<std::size_t>(circuit[ref].net.index)].push_back(
                    {{{at, at}}, ref, -1});
            }
        }
    }
    for (std::size_t i = 0; i < drawing.signs.size(); ++i) {
        const drawing::NetSign& sign = drawing.signs[i];
        items[static_cast<std::size_t>(sign.net.index)].push_back(
            {{{sign.at, sign.at}}, {}, static_cast<int>(i)});
    }
    for (const drawing::Wire& wire : drawing.wires) {
        for (const Segment& segment : wire.segments) {
            items[static_cast<std::size_t>(wire.net.index)].push_back({{segment}, {}, -1});
        }
    }
    return items;
}

}  // namespace

std::vector<NetPiece> net_pieces(const circuit::Circuit& circuit, const drawing::Drawing& drawing) {
    std::vector<NetPiece> pieces;
    const auto all = items_of(circuit, drawing);
    for (std::size_t net = 0; net < all.size(); ++net) {
        const std::vector<Item>& items = all[net];
        std::vector<std::size_t> up(items.size());
        std::iota(up.begin(), up.end(), 0U);
        const auto root = [&](std::size_t i) {
            while (up[i] != i) {
                i = up[i];
            }
            return i;
        };
        for (std::size_t i = 0; i < items.size(); ++i) {
            for (std::size_t j = 0; j < i; ++j) {
                if (join(items[i], items[j])) {
                    up[std::max(root(i), root(j))] = std::min(root(i), root(j));
                }
            }
        }
        std::map<std::size_t, NetPiece> by_root;
        for (std::size_t i = 0; i < items.size(); ++i) {
            NetPiece& piece = by_root[root(i)];
            piece.net = {static_cast<int>(net)};
            if (items[i].pin.pin >= 0) {
                piece.pins.push_back(items[i].pin);
            } else if (items[i].sign >= 0) {
                piece.signs.push_back(items[i].sign);
            }
        }
        for (auto& [at, piece] : by_root) {
            if (piece.pins.size() + piece.signs.size() > 1) {
                pieces.push_back(std::move(piece));
            }
        }
    }
    return pieces;
}

}  // namespace etchback::benchmarks
