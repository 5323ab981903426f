// Whole files in and out. A file that cannot be read or written throws FileError: it is caught
// once in `main` and once in the desktop program.
#pragma once

#include <filesystem>
#include <stdexcept>
#include <string>
#include <string_view>

namespace etchback::base {

class FileError : public std::runtime_error {
public:
    using std::runtime_error::runtime_error;  // "cannot read x/dossier.toml: No such file ..."
};

std::string read_file(const std::filesystem::path& path);

// Writes beside the target, flushes to the disk and renames: whoever looks at any moment, even
// after a crash, sees the old file or the new one. Keeps the target's permissions.
void write_file_atomically(const std::filesystem::path& path, std::string_view bytes);

}  // namespace etchback::base
