#include "bench/verdict.h"

namespace etchback::bench {

std::string_view words_of(Verdict verdict) {
    switch (verdict) {
        case Verdict::within:
            return "within";
        case Verdict::outside:
            return "outside";
        case Verdict::cannot_tell:
            break;
    }
    return "cannot tell";
}

Verdict at_most(const Estimate& value, double limit) {
    if (value.value + 2.0 * value.u <= limit) {
        return Verdict::within;
    }
    return value.value - 2.0 * value.u > limit ? Verdict::outside : Verdict::cannot_tell;
}

Verdict at_least(const Estimate& value, double limit) {
    return at_most({-value.value, value.u}, -limit);
}

Verdict between(const Estimate& value, double low, double high) {
    const Verdict above = at_least(value, low), below = at_most(value, high);
    if (above == Verdict::outside || below == Verdict::outside) {
        return Verdict::outside;
    }
    return above == Verdict::within && below == Verdict::within ? Verdict::within
                                                                : Verdict::cannot_tell;
}

}  // namespace etchback::bench
