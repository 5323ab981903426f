// What the tests of `faults` and `spread` share.
#pragma once

#include <gmock/gmock.h>
#include <gtest/gtest.h>
#include <unistd.h>

#include <filesystem>
#include <nlohmann/json.hpp>
#include <sstream>
#include <string>
#include <vector>

#include "base/file.h"
#include "cli/run.h"
#include "report/json_schema.h"

namespace etchback::cli {

struct CampaignRan {
    int status = 0;
    std::string out, err;
};

class Campaign : public testing::Test {
protected:
    Campaign() {
        std::string name =
            (std::filesystem::temp_directory_path() / "etchback-campaign-XXXXXX").string();
        folder_ = ::mkdtemp(name.data());
        // A lamp of few parts, so that hundreds of runs take no time.
        base::write_file_atomically(folder_ / "dossier.toml", R"(format = 1
[item]
name = "Bench lamp"
invented = true
[supply]
kind = "dc"
voltage = "12 V"
[parts.J1]
kind = "DC supply"
pins = { "+" = "PLUS", "-" = "MINUS" }
[parts.R1]
kind = "resistor"
value = "470 Ω"
tolerance = "5 %"
body = "1206"
pins = { 1 = "PLUS", 2 = "A" }
[parts.LED1]
kind = "LED string"
properties = { count = "3", forward_voltage = "3.1 V", strings = "1" }
pins = { "+" = "A", "-" = "MINUS" }
)");
    }
    ~Campaign() override { std::filesystem::remove_all(folder_); }

    CampaignRan etchback(std::vector<std::string> arguments) const {
        std::ostringstream out, err;
        const int status = run(arguments, out, err);
        return {status, out.str(), err.str()};
    }
    std::string path(const std::string& name) const { return (folder_ / name).string(); }
    std::string lamp() const { return folder_.string(); }

    // Walks what a command printed along docs/json.md; every key must have been there.
    void expect_documented(const std::string& text,
                           const std::string& type,
                           const std::vector<std::string>& objects) const {
        const auto schema = report::documented(ETCHBACK_SOURCE_DIR);
        report::Walk walk(schema);
        walk.object(report::Json::parse(text), type, type);
        EXPECT_THAT(walk.complaints, testing::IsEmpty());
        for (const std::string& object : objects) {
            for (const auto& [key, described] : schema.at(object)) {
                EXPECT_TRUE(walk.met.count(object + "." + key)) << object << "." << key;
            }
        }
    }

    std::filesystem::path folder_;
};

}  // namespace etchback::cli
