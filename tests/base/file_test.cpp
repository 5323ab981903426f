#include "base/file.h"

#include <gtest/gtest.h>
#include <sys/stat.h>
#include <unistd.h>

#include <filesystem>

namespace etchback::base {
namespace {

namespace fs = std::filesystem;

// A folder of its own for each test, gone afterwards.
class Files : public testing::Test {
protected:
    Files() {
        std::string name = (fs::temp_directory_path() / "etchback-test-XXXXXX").string();
        folder_ = ::mkdtemp(name.data());
    }
    ~Files() override { fs::remove_all(folder_); }
    std::size_t entries() const {
        return static_cast<std::size_t>(
            std::distance(fs::directory_iterator(folder_), fs::directory_iterator()));
    }
    fs::path folder_;
};

TEST_F(Files, ReadBackWhatWasWritten) {
    const std::string bytes("a\0b\r\n\xFF", 6);
    write_file_atomically(folder_ / "f", bytes);
    EXPECT_EQ(read_file(folder_ / "f"), bytes);
    write_file_atomically(folder_ / "f", "");
    EXPECT_EQ(read_file(folder_ / "f"), "");
    EXPECT_EQ(entries(), 1U) << "nothing is left beside the file";
}

TEST_F(Files, KeepPermissionsAndFollowLinks) {
    write_file_atomically(folder_ / "real", "old");
    ASSERT_EQ(::chmod((folder_ / "real").c_str(), 0640), 0);
    fs::create_symlink("real", folder_ / "link");
    write_file_atomically(folder_ / "link", "new");
    EXPECT_TRUE(fs::is_symlink(folder_ / "link"));
    EXPECT_EQ(read_file(folder_ / "real"), "new");
    EXPECT_EQ(fs::status(folder_ / "real").permissions(), static_cast<fs::perms>(0640));
}

TEST_F(Files, ThatCannotBeReadOrWrittenSayWhichAndWhy) {
    try {
        read_file(folder_ / "absent.toml");
        FAIL() << "no exception";
    } catch (const FileError& error) {
        EXPECT_NE(std::string(error.what()).find("absent.toml: No such file"), std::string::npos);
    }
    EXPECT_THROW(read_file(folder_), FileError);
    EXPECT_THROW(write_file_atomically(folder_ / "no" / "f", "x"), FileError);
    EXPECT_THROW(write_file_atomically(folder_, "x"), FileError);
    EXPECT_EQ(entries(), 0U) << "a failed write leaves nothing behind";
}

// The new file takes the old one's place in one step: a reader that holds the old one keeps it
// whole, and the name never points at half a file.
TEST_F(Files, AreReplacedNotOverwritten) {
    write_file_atomically(folder_ / "f", "old");
    struct stat before {};
    ASSERT_EQ(::stat((folder_ / "f").c_str(), &before), 0);
    write_file_atomically(folder_ / "f", "new");
    struct stat after {};
    ASSERT_EQ(::stat((folder_ / "f").c_str(), &after), 0);
    EXPECT_NE(before.st_ino, after.st_ino);
}

}  // namespace
}  // namespace etchback::base
