#include "behaviour/detail/journal_file.h"

#include <fmt/format.h>

#include <cstdint>
#include <nlohmann/json.hpp>
#include <sstream>

#include "base/file.h"

namespace etchback::behaviour::detail {

namespace {

using Json = nlohmann::ordered_json;

// FNV-1a in 64 bits (Fowler, Noll, Vo; RFC 9923), begun from `basis`.
std::uint64_t fnv1a(std::string_view text, std::uint64_t basis) {
    std::uint64_t hash = basis;
    for (const char c : text) {
        hash ^= static_cast<unsigned char>(c);
        hash *= 0x00000100000001b3ULL;
    }
    return hash;
}

std::optional<std::pair<int, std::string>> read_line(const std::string& line,
                                                     const std::string& inputs) {
    const Json json = Json::parse(line, nullptr, false);
    const bool usable = json.is_object() && json.value("inputs", Json()) == inputs &&
                        json.contains("run") && json["run"].is_number_integer() &&
                        json.contains("result");
    if (!usable) {
        return std::nullopt;
    }
    return std::pair(json["run"].get<int>(), json["result"].dump());
}

}  // namespace

Journal::Journal(std::filesystem::path file, std::string inputs)
    : file_(std::move(file)), inputs_(std::move(inputs)) {
    bool line_open = false;
    if (std::filesystem::exists(file_)) {
        const std::string text = base::read_file(file_);
        line_open = !text.empty() && text.back() != '\n';
        std::istringstream lines(text);
        for (std::string line; std::getline(lines, line);) {
            if (auto read = read_line(line, inputs_)) {
                done_.insert_or_assign(read->first, std::move(read->second));
            }
        }
    }
    out_.open(file_, std::ios::app | std::ios::binary);
    if (line_open) {
        out_ << '\n';  // a torn line must not take the next one with it
    }
    if (!out_) {
        throw base::FileError(fmt::format("cannot write the journal {}", file_.string()));
    }
}

void Journal::append(int run, const std::string& result_json) {
    out_ << fmt::format(R"({{"inputs":"{}","run":{},"result":{}}})", inputs_, run, result_json)
         << '\n'
         << std::flush;
    if (!out_) {
        throw base::FileError(fmt::format("cannot write the journal {}", file_.string()));
    }
}

std::string fingerprint(std::string_view text) {
    return fmt::format(
        "{:016x}{:016x}", fnv1a(text, 0xcbf29ce484222325ULL), fnv1a(text, 0x9ae16a3b2f90404fULL));
}

}  // namespace etchback::behaviour::detail
