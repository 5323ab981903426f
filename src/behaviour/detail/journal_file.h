// The file in which a campaign keeps what is done: one line of JSON for each finished run. It is
// only ever added to, so that a crash costs at most the line that was being written.
#pragma once

#include <filesystem>
#include <fstream>
#include <map>
#include <string>

namespace etchback::behaviour::detail {

class Journal {
public:
    // Reads what is there and opens the file for more. Lines of other inputs (another dossier,
    // other tables, another version), lines that are torn and lines that are no journal's are
    // passed over. Throws base::FileError where the file can be neither read nor made.
    Journal(std::filesystem::path file, std::string inputs);

    // Results by number of run, as JSON.
    const std::map<int, std::string>& done() const { return done_; }

    // Adds a line and hands it to the system at once. Throws base::FileError on a full disk.
    void append(int run, const std::string& result_json);

private:
    std::filesystem::path file_;
    std::string inputs_;
    std::map<int, std::string> done_;
    std::ofstream out_;
};

// A fingerprint of `text`: 32 hexadecimal digits. No defence against anybody's ill will.
std::string fingerprint(std::string_view text);

}  // namespace etchback::behaviour::detail
