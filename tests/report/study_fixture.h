// Studies to make reports of.
#pragma once

#include <gtest/gtest.h>

#include <filesystem>
#include <string>
#include <string_view>

#include "dossier/read.h"
#include "report/hostile_dossier.h"
#include "report/report.h"
#include "report/study.h"

namespace etchback::report {

inline std::filesystem::path source_folder() {
    return ETCHBACK_SOURCE_DIR;
}

inline const Data& data() {
    static const Data loaded = [] {
        auto read = load_data(source_folder() / "data");
        if (!read) {
            throw std::runtime_error(base::to_string(read.errors().front()));
        }
        return *std::move(read);
    }();
    return loaded;
}

inline Study study_of(std::string_view toml, const std::string& file = "dossier.toml") {
    const auto dossier = dossier::read(toml, file, data().catalogue);
    if (!dossier) {
        throw std::runtime_error(base::to_string(dossier.errors().front()));
    }
    return derive(*dossier, data());
}

inline Study study_in(const std::filesystem::path& folder) {
    const auto dossier = dossier::read_folder(folder, data().catalogue);
    if (!dossier) {
        throw std::runtime_error(base::to_string(dossier.errors().front()));
    }
    return derive(*dossier, data());
}

// The dossier that holds everything that a dossier can hold.
inline Study everything() {
    return study_in(source_folder() / "docs" / "everything.toml");
}

inline std::string html_of(const Study& study, const std::filesystem::path& folder = "/nowhere") {
    const auto html = to_html(study, data(), folder);
    EXPECT_TRUE(html) << base::to_string(html.errors().front());
    return html ? *html : "";
}

// A folder that is gone afterwards.
class Scratch {
public:
    Scratch() {
        std::string name = std::filesystem::temp_directory_path() / "etchback-report-XXXXXX";
        path_ = mkdtemp(name.data());
    }
    ~Scratch() { std::filesystem::remove_all(path_); }
    Scratch(const Scratch&) = delete;
    Scratch& operator=(const Scratch&) = delete;
    const std::filesystem::path& path() const { return path_; }

private:
    std::filesystem::path path_;
};

}  // namespace etchback::report
