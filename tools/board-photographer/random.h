// Random numbers that are the same everywhere: the standard library's distributions are not.
#pragma once

#include <cmath>
#include <cstdint>
#include <numbers>
#include <vector>

namespace etchback::photographer {

// SplitMix64 (Steele, Lea, Flood 2014): one word of state, good enough for pictures.
class Random {
public:
    // Neighbouring seeds give unrelated streams.
    explicit Random(std::uint64_t seed) : state_(mixed(seed * 0xD1B54A32D192ED03ULL + 1)) {}

    std::uint64_t next() {
        state_ += 0x9E3779B97F4A7C15ULL;
        return mixed(state_);
    }
    static std::uint64_t mixed(std::uint64_t z) {
        z = (z ^ (z >> 30)) * 0xBF58476D1CE4E5B9ULL;
        z = (z ^ (z >> 27)) * 0x94D049BB133111EBULL;
        return z ^ (z >> 31);
    }
    double unit() { return static_cast<double>(next() >> 11) * 0x1.0p-53; }
    double between(double low, double high) { return low + (high - low) * unit(); }
    // low and high included.
    int whole(int low, int high) {
        return low + static_cast<int>(next() % static_cast<std::uint64_t>(high - low + 1));
    }
    bool chance(double probability) { return unit() < probability; }
    double normal() {
        const double r = std::sqrt(-2.0 * std::log(1.0 - unit()));
        return r * std::cos(2.0 * std::numbers::pi * unit());
    }
    template <typename T>
    void shuffle(std::vector<T>& values) {
        for (std::size_t i = values.size(); i > 1; --i) {
            std::swap(values[i - 1], values[next() % i]);
        }
    }

private:
    std::uint64_t state_;
};

}  // namespace etchback::photographer
