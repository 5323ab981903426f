// Jobs on threads and ranks, with arithmetic in place of simulations.
#include "behaviour/detail/campaign_jobs.h"

#include <gmock/gmock.h>
#include <gtest/gtest.h>
#include <unistd.h>

#include <atomic>
#include <chrono>
#include <cstdlib>
#include <fstream>
#include <mutex>
#include <nlohmann/json.hpp>
#include <set>
#include <thread>

#include "base/file.h"
#include "behaviour/detail/journal_file.h"

namespace etchback::behaviour::detail {
namespace {

namespace fs = std::filesystem;
using Results = std::vector<std::optional<std::string>>;

constexpr int runs = 40;

std::vector<Job> jobs_of_three() {
    std::vector<Job> jobs;
    for (int run = 0; run < runs; ++run) {
        if (run % 3 == 0) {
            jobs.emplace_back();
        }
        jobs.back().push_back(run);
    }
    return jobs;
}

std::string result_of(int run) {
    return nlohmann::ordered_json({{"square", run * run}, {"third", run / 3.0}}).dump();
}

// Jobs end in another order than they began.
void square(const Job& job, const Emit& emit, const Interrupted&) {
    std::this_thread::sleep_for(std::chrono::milliseconds(5 * (job.front() % 4)));
    for (const int run : job) {
        emit(run, result_of(run));
    }
}

Results expected() {
    Results all;
    for (int run = 0; run < runs; ++run) {
        all.emplace_back(result_of(run));
    }
    return all;
}

class Jobs : public testing::Test {
protected:
    Jobs() {
        std::string name = (fs::temp_directory_path() / "etchback-jobs-XXXXXX").string();
        folder_ = ::mkdtemp(name.data());
    }
    ~Jobs() override { fs::remove_all(folder_); }
    fs::path journal() const { return folder_ / "journal"; }

    fs::path folder_;
};

TEST_F(Jobs, FillTheSameSlotsOnAnyNumberOfThreads) {
    for (const int threads : {1, 2, 4}) {
        EXPECT_EQ(run_jobs(jobs_of_three(), square, {.threads = threads}), expected()) << threads;
    }
}

TEST_F(Jobs, TellHowFarTheyAre) {
    std::vector<int> told;
    run_jobs(jobs_of_three(), square, {.threads = 2, .progress = [&](int done, int all) {
                                           told.push_back(done);
                                           EXPECT_EQ(all, runs);
                                       }});
    ASSERT_EQ(told.size(), runs + 1U);
    EXPECT_EQ(told.front(), 0);
    EXPECT_EQ(told.back(), runs);
    EXPECT_TRUE(std::ranges::is_sorted(told));
}

TEST_F(Jobs, ThatThrowEndTheCampaignWithTheirException) {
    const auto broken = [](const Job& job, const Emit& emit, const Interrupted& interrupted) {
        if (job.front() == 9) {
            throw base::FileError("no room");
        }
        square(job, emit, interrupted);
    };
    EXPECT_THROW(run_jobs(jobs_of_three(), broken, {.threads = 2}), base::FileError);
}

// Breaks a campaign off after some runs, then goes on: nothing is done twice, and the outcome is
// that of a campaign in one go.
TEST_F(Jobs, GoOnWhereTheyWereBrokenOff) {
    std::atomic<int> done = 0;
    const JobOptions broken_off = {.threads = 2,
                                   .journal = journal(),
                                   .inputs = "a",
                                   .interrupted = [&] { return done >= 10; },
                                   .progress = [&](int now, int) { done = now; }};
    const Results first = run_jobs(jobs_of_three(), square, broken_off);
    const auto missing = std::ranges::count_if(first, [](const auto& one) { return !one; });
    EXPECT_GT(missing, 0);
    EXPECT_LT(missing, runs);

    std::mutex mutex;
    std::set<int> again;
    const auto noted = [&](const Job& job, const Emit& emit, const Interrupted& interrupted) {
        {
            const std::lock_guard lock(mutex);
            again.insert(job.begin(), job.end());
        }
        square(job, emit, interrupted);
    };
    const Results all =
        run_jobs(jobs_of_three(), noted, {.threads = 2, .journal = journal(), .inputs = "a"});
    EXPECT_EQ(all, expected());
    EXPECT_EQ(static_cast<long>(again.size()), missing);
}

TEST_F(Jobs, TakeNothingFromTheJournalOfOtherInputs) {
    run_jobs(jobs_of_three(),
             [](const Job& job, const Emit& emit, const Interrupted&) {
                 for (const int run : job) {
                     emit(run, "\"of another dossier\"");
                 }
             },
             {.threads = 1, .journal = journal(), .inputs = "b"});
    EXPECT_EQ(
        run_jobs(jobs_of_three(), square, {.threads = 1, .journal = journal(), .inputs = "a"}),
        expected());
}

// Cut at every byte of its last two lines, the journal gives whole results or none.
TEST_F(Jobs, SurviveAJournalThatIsTornAnywhere) {
    {
        Journal whole(journal(), "a");
        for (int run = 0; run < 3; ++run) {
            whole.append(run, result_of(run));
        }
    }
    const std::string text = base::read_file(journal());
    const std::size_t second = text.find('\n') + 1;
    for (std::size_t cut = second; cut <= text.size(); ++cut) {
        std::ofstream(journal(), std::ios::binary) << text.substr(0, cut);
        {
            Journal torn(journal(), "a");
            for (const auto& [run, result] : torn.done()) {
                EXPECT_EQ(result, result_of(run)) << cut;
            }
            EXPECT_TRUE(torn.done().contains(0)) << cut;
            torn.append(7, result_of(7));
        }
        EXPECT_EQ(Journal(journal(), "a").done().at(7), result_of(7)) << cut;
    }
}

TEST_F(Jobs, PassOverLinesThatAreNoJournals) {
    std::ofstream(journal()) << "\n[]\n{\"inputs\":3}\n{\"inputs\":\"a\",\"run\":\"1\"}\nnonsense\n"
                             << R"({"inputs":"a","run":2,"result":{"x":0.1}})"
                             << "\n";
    const Journal read(journal(), "a");
    EXPECT_THAT(read.done(), testing::ElementsAre(testing::Pair(2, R"({"x":0.1})")));
}

TEST_F(Jobs, SayWhereAJournalCannotBeWritten) {
    try {
        Journal nowhere(folder_ / "no" / "such" / "folder", "a");
        FAIL() << "no exception";
    } catch (const base::FileError& error) {
        EXPECT_THAT(error.what(), testing::HasSubstr("no/such/folder"));
    }
}

TEST(Fingerprint, DiffersWithEveryByte) {
    EXPECT_NE(fingerprint("R1 = 4k7"), fingerprint("R1 = 4k8"));
    EXPECT_EQ(fingerprint("").size(), 32U);
    // FNV-1a of "a" in 64 bits is af63dc4c8601ec8c (the authors' test vectors).
    EXPECT_EQ(fingerprint("a").substr(0, 16), "af63dc4c8601ec8c");
}

// What one rank does under mpirun (see the next test); alone it is a group of nobody.
TEST(RanksOfMpirun, GetTheResultsOfOneProcess) {
    const auto ranks = open_ranks();
    ASSERT_TRUE(ranks) << base::to_string(ranks.errors().front());
    if (const char* asked = std::getenv("OMPI_COMM_WORLD_SIZE"); asked != nullptr) {
        ASSERT_NE(ranks->get(), nullptr);
        EXPECT_EQ((*ranks)->size(), std::atoi(asked));
    } else {
        EXPECT_EQ(ranks->get(), nullptr);
    }
    for (const int threads : {1, 2}) {
        EXPECT_EQ(run_jobs(jobs_of_three(), square, {.threads = threads, .ranks = ranks->get()}),
                  expected());
    }
}

TEST(Ranks, GiveTheSameBytesWhateverTheirNumber) {
    if (std::system("command -v mpirun >/dev/null") != 0) {
        GTEST_SKIP() << "mpirun is not installed";
    }
    const std::string self = fs::read_symlink("/proc/self/exe").string();
    for (const int number : {1, 2, 3}) {
        const std::string command =
            "OMPI_ALLOW_RUN_AS_ROOT=1 OMPI_ALLOW_RUN_AS_ROOT_CONFIRM=1 mpirun --oversubscribe -n " +
            std::to_string(number) + " " + self +
            " --gtest_filter=RanksOfMpirun.* >/dev/null 2>&1 </dev/null";
        EXPECT_EQ(std::system(command.c_str()), 0) << number << " ranks";
    }
}

}  // namespace
}  // namespace etchback::behaviour::detail
