#include "base/file.h"

#include <fcntl.h>
#include <sys/stat.h>
#include <unistd.h>

#include <cerrno>
#include <cstring>
#include <vector>

namespace etchback::base {
namespace {

[[noreturn]] void fail(const char* verb, const std::filesystem::path& path) {
    throw FileError(std::string("cannot ") + verb + " " + path.string() + ": " +
                    std::strerror(errno));
}

// A file descriptor that closes itself.
class Descriptor {
public:
    explicit Descriptor(int fd) : fd_(fd) {}
    Descriptor(const Descriptor&) = delete;
    Descriptor& operator=(const Descriptor&) = delete;
    ~Descriptor() {
        if (fd_ >= 0) {
            ::close(fd_);
        }
    }
    int get() const { return fd_; }

private:
    int fd_;
};

void write_all(int fd, std::string_view bytes, const std::filesystem::path& path) {
    while (!bytes.empty()) {
        const ssize_t written = ::write(fd, bytes.data(), bytes.size());
        if (written < 0 && errno == EINTR) {
            continue;
        }
        if (written < 0) {
            fail("write", path);
        }
        bytes.remove_prefix(static_cast<std::size_t>(written));
    }
}

// Follows a symbolic link, so that saving replaces what it points at and not the link.
std::filesystem::path real_target(const std::filesystem::path& path) {
    std::error_code none;
    const std::filesystem::path real = std::filesystem::weakly_canonical(path, none);
    return none ? path : real;
}

}  // namespace

std::string read_file(const std::filesystem::path& path) {
    const Descriptor file(::open(path.c_str(), O_RDONLY | O_CLOEXEC));
    if (file.get() < 0) {
        fail("read", path);
    }
    std::string bytes;
    char buffer[1 << 16];
    for (;;) {
        const ssize_t got = ::read(file.get(), buffer, sizeof buffer);
        if (got < 0 && errno == EINTR) {
            continue;
        }
        if (got < 0) {
            fail("read", path);
        }
        if (got == 0) {
            return bytes;
        }
        bytes.append(buffer, static_cast<std::size_t>(got));
    }
}

void write_file_atomically(const std::filesystem::path& path, std::string_view bytes) {
    const std::filesystem::path target = real_target(path);
    std::string temporary = target.string() + ".XXXXXX";
    std::vector<char> name(temporary.begin(), temporary.end());
    name.push_back('\0');
    const Descriptor file(::mkstemp(name.data()));
    if (file.get() < 0) {
        fail("write", path);
    }
    try {
        struct stat old {};
        const bool exists = ::stat(target.c_str(), &old) == 0;
        const mode_t mask = ::umask(0);
        ::umask(mask);
        if (::fchmod(file.get(), exists ? old.st_mode & 07777 : 0666 & ~mask) != 0) {
            fail("set the permissions of", path);
        }
        write_all(file.get(), bytes, path);
        if (::fsync(file.get()) != 0 || ::rename(name.data(), target.c_str()) != 0) {
            fail("write", path);
        }
    } catch (...) {
        ::unlink(name.data());
        throw;
    }
    // The rename itself must reach the disk as well; not every file system can be asked to.
    const Descriptor folder(
        ::open(target.parent_path().c_str(), O_RDONLY | O_DIRECTORY | O_CLOEXEC));
    if (folder.get() >= 0) {
        ::fsync(folder.get());
    }
}

}  // namespace etchback::base
