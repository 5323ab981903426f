// Saving at any moment leaves the old file or the new one. A child process is killed in the
// middle of saving, again and again.
#include <gtest/gtest.h>
#include <signal.h>
#include <sys/wait.h>
#include <unistd.h>

#include <algorithm>
#include <chrono>
#include <fstream>

#include "base/file.h"
#include "dossier/fixture.h"
#include "dossier/generator.h"

namespace etchback::dossier {
namespace {

class Saving : public testing::Test {
protected:
    void SetUp() override {
        folder_ = std::filesystem::path(testing::TempDir()) /
                  ("etchback-save-" + std::to_string(::getpid()));
        std::filesystem::create_directories(folder_);
        file_ = folder_ / "dossier.toml";
    }
    void TearDown() override { std::filesystem::remove_all(folder_); }

    std::filesystem::path folder_;
    std::filesystem::path file_;
};

TEST_F(Saving, AChangedDossierReadsBackFromItsFolder) {
    base::write_file_atomically(file_, everything_text());
    Dossier after = everything();
    after.parts[2].note.value = "seen again";
    base::write_file_atomically(file_,
                                rewrite(everything_text(), everything(), after, catalogue()));
    const auto back = read_folder(folder_, catalogue());
    ASSERT_TRUE(back);
    EXPECT_EQ(*back, after);
}

TEST_F(Saving, WhatACrashLeftBehindIsNotTheDossier) {
    base::write_file_atomically(file_, everything_text());
    std::ofstream(folder_ / ".dossier.toml.half-written") << "format = ";
    std::ofstream(folder_ / "dossier.toml.tmp") << "format = ";
    const auto back = read_folder(folder_, catalogue());
    ASSERT_TRUE(back);
    EXPECT_EQ(*back, everything());
}

[[noreturn]] void save_until_killed(const std::filesystem::path& file,
                                    const std::string& one,
                                    const std::string& other) {
    while (true) {
        base::write_file_atomically(file, one);
        base::write_file_atomically(file, other);
    }
}

TEST_F(Saving, AKilledProcessLeavesTheOldOrTheNewDossier) {
    const std::string one = everything_text();
    Dossier changed = everything();
    changed.item.story.value = std::string(200000, 'x');  // many blocks: killing may hit between
    const std::string other = write(changed, catalogue());
    const auto begin = std::chrono::steady_clock::now();
    base::write_file_atomically(file_, other);
    base::write_file_atomically(file_, one);
    const auto both = std::chrono::duration_cast<std::chrono::microseconds>(
        std::chrono::steady_clock::now() - begin);
    // Killed after a part of the first save up to a few saves, however fast this disk is.
    const auto longest = static_cast<std::size_t>(std::max<long>(both.count(), 1000)) * 2;
    Dice dice(5);
    int ended_with_other = 0;
    for (int i = 0; i < 40; ++i) {
        const pid_t child = ::fork();
        ASSERT_GE(child, 0);
        if (child == 0) {
            save_until_killed(file_, other, one);
        }
        ::usleep(static_cast<useconds_t>(longest / 8 + dice.below(longest)));
        ::kill(child, SIGKILL);
        int status = 0;
        ASSERT_EQ(::waitpid(child, &status, 0), child);
        ASSERT_TRUE(WIFSIGNALED(status));
        const std::string now = base::read_file(file_);
        ASSERT_TRUE(now == one || now == other) << "round " << i << ": " << now.size() << " bytes";
        ended_with_other += now == other ? 1 : 0;
        ASSERT_TRUE(read_folder(folder_, catalogue()));
    }
    EXPECT_GT(ended_with_other, 0);
    EXPECT_LT(ended_with_other, 40);
}

}  // namespace
}  // namespace etchback::dossier
