// Tables of samples in many dialects (tests/data/waveforms). All good ones hold the same invented
// waveform: 325 V and the cube of a sine of 0.2 A at 50 Hz, 48 samples 0.5 ms apart.
#include "bench/waveform.h"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <cmath>
#include <fstream>
#include <numbers>
#include <set>

namespace etchback::bench {
namespace {

namespace fs = std::filesystem;
using base::Unit;

const fs::path kFolder = fs::path(ETCHBACK_SOURCE_DIR) / "tests/data/waveforms";

double volts(std::size_t k) {
    return 325.0 * std::sin(2.0 * std::numbers::pi * 50.0 * 0.0005 * static_cast<double>(k));
}
double amperes(std::size_t k) {
    const double s = volts(k) / 325.0;
    return 0.2 * s * s * s;
}

struct Good {
    const char* file;
    Unit voltage = Unit::volt, current = Unit::ampere;
    double within = 1e-3;  // of the voltage's peak; the current's likewise
    std::size_t missing = 0;
};
const Good kGood[] = {{"plain.csv", Unit::none, Unit::none},
                      {"header.csv", Unit::none, Unit::none},
                      {"units-in-brackets.csv"},
                      {"units-in-square-brackets.csv"},
                      {"units-row.csv"},
                      {"units-after-slash.txt"},
                      {"tabs.txt", Unit::none, Unit::none},
                      {"spaces.txt", Unit::none, Unit::none},
                      {"aligned-spaces.txt", Unit::none, Unit::none},
                      {"decimal-comma.csv"},
                      {"decimal-comma-tabs.txt"},
                      {"decimal-comma-spaces.txt", Unit::none, Unit::none},
                      {"semicolons-decimal-point.csv"},
                      {"crlf.csv"},
                      {"cr-alone.csv"},
                      {"byte-order-mark.csv"},
                      {"micro-sign.csv"},
                      {"quoted.csv"},
                      {"quoted-decimal-commas.csv"},
                      {"exponents.csv"},
                      {"plus-signs.csv"},
                      {"scope-head.csv"},
                      {"notes-beside-samples.csv", Unit::none, Unit::none},
                      {"rate-in-head.csv"},
                      {"rate-as-note.csv", Unit::none, Unit::none},
                      {"interval-in-head.csv"},
                      {"sample-numbers.csv"},
                      {"numbers-and-time.csv"},
                      {"scale-factors.csv"},
                      {"trailing-commas.csv"},
                      {"blank-lines-at-end.csv"},
                      {"no-newline-at-end.csv"},
                      {"missing-fields.csv", Unit::volt, Unit::ampere, 1e-3, 2},
                      {"missing-rows.csv", Unit::volt, Unit::ampere, 1e-3, 4},
                      {"over-range.csv", Unit::volt, Unit::ampere, 1e-3, 6},
                      {"coarse-time.csv"},
                      {"rounded-time.csv"},
                      {"start-before-trigger.csv"},
                      {"comments.dat", Unit::none, Unit::none}};

TEST(Waveform, IsReadInEveryDialect) {
    for (const Good& good : kGood) {
        SCOPED_TRACE(good.file);
        const auto wave = read_waveform(kFolder / good.file);
        if (!wave) {
            ADD_FAILURE() << to_string(wave.errors().front());
            continue;
        }
        const bool rounded = std::string(good.file) == "rounded-time.csv";
        EXPECT_NEAR((*wave).dt_s, 0.0005, rounded ? 2e-5 : 1e-9);
        const bool before = std::string(good.file) == "start-before-trigger.csv";
        EXPECT_NEAR((*wave).start_s, before ? -0.01 : 0.0, 1e-9);
        EXPECT_EQ((*wave).missing, good.missing);
        if ((*wave).channels.size() != 2 || (*wave).size() != 48) {
            ADD_FAILURE() << (*wave).channels.size() << " channels, " << (*wave).size()
                          << " samples";
            continue;
        }
        EXPECT_EQ((*wave).channels[0].unit, good.voltage);
        EXPECT_EQ((*wave).channels[1].unit, good.current);
        for (std::size_t k = 0; k < 48; ++k) {
            const double u = (*wave).channels[0].value[k], i = (*wave).channels[1].value[k];
            EXPECT_TRUE(std::isnan(u) ? good.missing > 0 : std::abs(u - volts(k)) < 1e-3) << k;
            EXPECT_TRUE(std::isnan(i) ? good.missing > 0 : std::abs(i - amperes(k)) < 1e-6) << k;
        }
        EXPECT_FALSE((*wave).how.empty());
    }
}

TEST(Waveform, TellsThatSamplesWereBeyondTheRange) {
    const auto wave = read_waveform(kFolder / "over-range.csv");
    ASSERT_TRUE(wave);
    EXPECT_TRUE((*wave).channels[0].over_range);
    EXPECT_FALSE((*wave).channels[1].over_range);
}

struct Bad {
    const char* file;
    int line;
    const char* what;
};
const Bad kBad[] = {
    {"bad-empty.csv", 0, "empty"},
    {"bad-words.csv", 1, "no rows of numbers"},
    {"bad-no-time.csv", 2, "no time"},
    {"bad-uneven.csv", 0, "spac"},
    {"bad-time-goes-back.csv", 32, "time goes back"},
    {"bad-word-in-samples.csv", 32, "'abc' is no number"},
    {"bad-both-commas.csv", 2, "both separator and decimal mark"},
    {"bad-utf16.csv", 1, "UTF-16"},
    {"bad-spreadsheet.csv", 1, "spreadsheet"},
    {"bad-binary.csv", 1, "no text"},
    {"bad-time-alone.csv", 2, "nothing else"},
    {"bad-clock-times.csv", 2, "no time"},
    {"bad-one-sample.csv", 0, ""},
    {"bad-still-time.csv", 2, "do not rise"},
    {"bad-compressed.wav", 0, "compressed"},
};

TEST(Waveform, OfAWrongFileIsRefusedWithPlaceAndReason) {
    for (const Bad& bad : kBad) {
        SCOPED_TRACE(bad.file);
        const auto wave = read_waveform(kFolder / bad.file);
        ASSERT_FALSE(wave);
        const base::Error& error = wave.errors().front();
        EXPECT_EQ(error.place.file, bad.file);
        if (bad.line > 0) {
            EXPECT_EQ(error.place.line, bad.line) << to_string(error);
        }
        EXPECT_THAT(error.what, testing::HasSubstr(bad.what));
        EXPECT_FALSE(error.todo.empty());
    }
}

TEST(Waveform, OfAFileWithoutTimeTakesTheRateThatIsSaid) {
    const auto wave = read_waveform(kFolder / "bad-no-time.csv", {.rate_hz = 2000.0});
    ASSERT_TRUE(wave);
    EXPECT_DOUBLE_EQ((*wave).dt_s, 0.0005);
    EXPECT_EQ((*wave).size(), 48U);
}

TEST(Waveform, IsReadFromWavOfEveryWidth) {
    for (const auto& [file, within] :
         std::initializer_list<std::pair<const char*, double>>{{"pcm8.wav", 1.0 / 128},
                                                               {"pcm16.wav", 1.0 / 32768},
                                                               {"pcm24.wav", 2e-7},
                                                               {"pcm32.wav", 1e-9},
                                                               {"float32.wav", 1e-7}}) {
        SCOPED_TRACE(file);
        const auto wave = read_waveform(kFolder / file);
        ASSERT_TRUE(wave);
        ASSERT_EQ((*wave).channels.size(), 2U);
        ASSERT_EQ((*wave).size(), 48U);
        EXPECT_DOUBLE_EQ((*wave).dt_s, 0.0005);
        for (std::size_t k = 0; k < 48; ++k) {
            EXPECT_NEAR((*wave).channels[0].value[k], volts(k) / 400.0, within + 2e-6);
            EXPECT_NEAR((*wave).channels[1].value[k], amperes(k), within + 2e-6);
        }
    }
}

TEST(Waveform, TestsCoverEveryFileThatIsKept) {
    std::set<std::string> kept,
        tested = {"pcm8.wav", "pcm16.wav", "pcm24.wav", "pcm32.wav", "float32.wav"};
    for (const fs::directory_entry& entry : fs::directory_iterator(kFolder)) {
        kept.insert(entry.path().filename().string());
    }
    for (const Good& good : kGood) {
        tested.insert(good.file);
    }
    for (const Bad& bad : kBad) {
        tested.insert(bad.file);
    }
    EXPECT_EQ(kept, tested);
    EXPECT_GE(kept.size(), 40U);
}

// A long table, streamed: the parts that reach the sink make the whole, however lines fall on the
// borders of blocks.
TEST(Waveform, OfALongFileComesInBlocksAndIsMergedWhereItIsKept) {
    const fs::path file = fs::path(testing::TempDir()) / "etchback-long.csv";
    {
        std::ofstream out(file);
        out << "Time (s),U (V)\n";
        for (int k = 0; k < 100'000; ++k) {
            out << k * 1e-5 << ',' << k % 1000 << '\n';
        }
    }
    double sum = 0.0;
    std::size_t rows = 0;
    const auto streamed =
        stream_waveform(file, {}, [&](std::span<const double> values, std::size_t n) {
            rows += n;
            for (const double value : values) {
                sum += value;
            }
        });
    ASSERT_TRUE(streamed) << to_string(streamed.errors().front());
    EXPECT_EQ(rows, 100'000U);
    EXPECT_DOUBLE_EQ(sum, 100'000.0 * 499.5);
    const auto kept = read_waveform(file, {}, 10'000);
    ASSERT_TRUE(kept);
    EXPECT_LE((*kept).size(), 10'000U);
    EXPECT_EQ((*kept).channels[0].largest, 999.0);
    EXPECT_NEAR((*kept).dt_s, 1e-5 * static_cast<double>((*kept).merged), 1e-9);
    EXPECT_NEAR((*kept).channels[0].value[1] - (*kept).channels[0].value[0],
                static_cast<double>((*kept).merged),
                1e-9);
    fs::remove(file);
}

}  // namespace
}  // namespace etchback::bench
