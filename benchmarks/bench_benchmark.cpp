// Reading long tables of samples, against the least that any reader must do: bring the bytes in
// and turn every field into a number with std::from_chars.
//
// ETCHBACK_BENCH_ROWS sets the length; 30 million rows are about 1 GB.
#include <benchmark/benchmark.h>
#include <fmt/format.h>
#include <sys/resource.h>

#include <charconv>
#include <cmath>
#include <cstdio>
#include <cstdlib>
#include <cstring>
#include <filesystem>
#include <vector>

#include "bench/waveform.h"

namespace {

namespace fs = std::filesystem;

struct LongTable {
    fs::path path = fs::temp_directory_path() / "etchback-benchmark-waveform.csv";
    LongTable() {
        const char* said = std::getenv("ETCHBACK_BENCH_ROWS");
        const long rows = said != nullptr ? std::atol(said) : 2'000'000;
        std::FILE* file = std::fopen(path.c_str(), "wb");
        std::fputs("Time (s),CH1 (V),CH2 (A)\n", file);
        for (long k = 0; k < rows; ++k) {
            const double t = 2e-6 * static_cast<double>(k);
            const double s = std::sin(314.159 * t);
            fmt::print(file, "{:.7e},{:.4f},{:.5e}\n", t, 325.0 * s, 0.2 * s * s * s);
        }
        std::fclose(file);
    }
    ~LongTable() { fs::remove(path); }
};
const fs::path& long_table() {
    static const LongTable table;
    return table.path;
}

double plain_read(const fs::path& path) {
    std::FILE* file = std::fopen(path.c_str(), "rb");
    std::vector<char> buffer(1 << 18);
    double sum = 0.0;
    std::size_t have = 0;
    bool head = true;
    while (true) {
        const std::size_t got = std::fread(buffer.data() + have, 1, buffer.size() - have, file);
        have += got;
        const char* at = buffer.data();
        const char* const stop = at + have;
        while (const char* end = static_cast<const char*>(
                   std::memchr(at, '\n', static_cast<std::size_t>(stop - at)))) {
            if (!head) {
                while (at < end) {
                    double value = 0.0;
                    at = std::from_chars(at, end, value).ptr + 1;
                    sum += value;
                }
            }
            head = false;
            at = end + 1;
        }
        have = static_cast<std::size_t>(stop - at);
        std::memmove(buffer.data(), at, have);
        if (got == 0) {
            break;
        }
    }
    std::fclose(file);
    return sum;
}

void count_bytes(benchmark::State& state) {
    state.SetBytesProcessed(static_cast<int64_t>(state.iterations()) *
                            static_cast<int64_t>(fs::file_size(long_table())));
    rusage usage{};
    getrusage(RUSAGE_SELF, &usage);
    state.counters["peak_MB"] = static_cast<double>(usage.ru_maxrss) / 1024.0;
}

void waveform_streamed(benchmark::State& state) {
    const fs::path& path = long_table();
    for (auto _ : state) {
        double sum = 0.0;
        const auto wave = etchback::bench::stream_waveform(
            path, {}, [&](std::span<const double> values, std::size_t) {
                for (const double value : values) {
                    sum += value;
                }
            });
        if (!wave) {
            state.SkipWithError(to_string(wave.errors().front()).c_str());
            break;
        }
        benchmark::DoNotOptimize(sum);
    }
    count_bytes(state);
}
void waveform_plain_read(benchmark::State& state) {
    const fs::path& path = long_table();
    for (auto _ : state) {
        benchmark::DoNotOptimize(plain_read(path));
    }
    count_bytes(state);
}
void waveform_kept(benchmark::State& state) {
    const fs::path& path = long_table();
    for (auto _ : state) {
        benchmark::DoNotOptimize(etchback::bench::read_waveform(path));
    }
    count_bytes(state);
}
BENCHMARK(waveform_streamed)->Unit(benchmark::kMillisecond);
BENCHMARK(waveform_plain_read)->Unit(benchmark::kMillisecond);
BENCHMARK(waveform_kept)->Unit(benchmark::kMillisecond);

}  // namespace
