#include "base/side_by_side.h"

#include <gtest/gtest.h>

#include <atomic>
#include <stdexcept>
#include <string>
#include <vector>

namespace {

using etchback::base::side_by_side;

TEST(SideBySide, DoesEachJobOnce) {
    for (const std::size_t threads : {0U, 1U, 2U, 7U}) {
        std::vector<std::atomic<int>> done(100);
        side_by_side(
            done.size(), [&](std::size_t i) { ++done[i]; }, threads);
        for (const auto& times : done) {
            EXPECT_EQ(times, 1);
        }
    }
}

TEST(SideBySide, DoesNothingWhereThereIsNoJob) {
    side_by_side(0, [](std::size_t) { FAIL(); });
}

TEST(SideBySide, RethrowsWhatTheFirstFailingJobThrewOnceAllAreDone) {
    std::atomic<int> done = 0;
    try {
        side_by_side(20, [&](std::size_t i) {
            ++done;
            if (i % 5 == 3) {
                throw std::runtime_error(std::to_string(i));
            }
        });
        FAIL() << "nothing was thrown";
    } catch (const std::runtime_error& error) {
        EXPECT_STREQ(error.what(), "3");
    }
    EXPECT_EQ(done, 20);
}

}  // namespace
