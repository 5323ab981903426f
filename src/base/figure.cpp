#include "base/figure.h"

namespace etchback::base {

std::string_view name_of(Evidence::Kind kind) {
    switch (kind) {
        case Evidence::Kind::part:
            return "part";
        case Evidence::Kind::net:
            return "net";
        case Evidence::Kind::reading:
            return "reading";
        case Evidence::Kind::claim:
            return "claim";
        case Evidence::Kind::supply:
            return "supply";
        case Evidence::Kind::continuity:
            return "continuity";
        case Evidence::Kind::reference:
            return "reference";
        case Evidence::Kind::figure:
            return "figure";
        case Evidence::Kind::assumption:
            return "assumption";
    }
    return "part";
}

}  // namespace etchback::base
