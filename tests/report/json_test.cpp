// docs/json.md is the schema: its tables are read here and every key of real reports is held
// against them, so that neither can go its own way.
#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <map>
#include <nlohmann/json.hpp>
#include <set>
#include <sstream>

#include "base/file.h"
#include "base/text.h"
#include "report/study_fixture.h"

namespace etchback::report {
namespace {

using Json = nlohmann::ordered_json;

struct Key {
    std::string type;
    bool always = false;
};
using Schema = std::map<std::string, std::map<std::string, Key>>;

std::vector<std::string> cells_of(const std::string& line) {
    std::vector<std::string> cells;
    std::istringstream stream(line.substr(1));
    for (std::string cell; std::getline(stream, cell, '|');) {
        cells.emplace_back(base::trimmed(cell));
    }
    return cells;
}

Schema documented() {
    Schema schema;
    std::string object;
    std::istringstream lines(base::read_file(source_folder() / "docs" / "json.md"));
    for (std::string line; std::getline(lines, line);) {
        if (line.starts_with("# ")) {
            object.clear();
        } else if (line.starts_with("## ")) {
            object = line.substr(3);
        } else if (line.starts_with("| `") && !object.empty()) {
            const auto cells = cells_of(line);
            const std::string key = cells[0].substr(1, cells[0].size() - 2);
            schema[object][key] = {cells[1], cells[2] == "always"};
        }
    }
    return schema;
}

// Walks a document along the schema; notes what was met and what does not fit.
class Walk {
public:
    explicit Walk(const Schema& schema) : schema_(schema) {}

    void object(const Json& value, const std::string& type, const std::string& where) {
        const auto known = schema_.find(type);
        if (known == schema_.end() || !value.is_object()) {
            complaints.push_back(where + ": is no " + type);
            return;
        }
        for (const auto& [key, inner] : value.items()) {
            const auto described = known->second.find(key);
            if (described == known->second.end()) {
                complaints.push_back(where + ": key '" + key + "' is not documented");
                continue;
            }
            met.insert(type + "." + key);
            any(inner, described->second.type, where + "." + key);
        }
        for (const auto& [key, described] : known->second) {
            if (described.always && !value.contains(key)) {
                complaints.push_back(where + ": key '" + key + "' is missing");
            }
        }
    }

    std::vector<std::string> complaints;
    std::set<std::string> met;

private:
    void any(const Json& value, const std::string& type, const std::string& where) {
        if (type.starts_with("list of ")) {
            check(value.is_array(), where, type);
            for (std::size_t i = 0; i < value.size(); ++i) {
                any(value[i], type.substr(8), where + "[" + std::to_string(i) + "]");
            }
        } else if (type.starts_with("map of ")) {
            check(value.is_object(), where, type);
            for (const auto& [key, inner] : value.items()) {
                any(inner, type.substr(7), where + "." + key);
            }
        } else if (type == "text") {
            check(value.is_string(), where, type);
        } else if (type == "number") {
            check(value.is_number(), where, type);
        } else if (type == "whole number") {
            check(value.is_number_integer(), where, type);
        } else if (type == "yes or no") {
            check(value.is_boolean(), where, type);
        } else {
            object(value, type, where);
        }
    }

    void check(bool fits, const std::string& where, const std::string& type) {
        if (!fits) {
            complaints.push_back(where + ": is no " + type);
        }
    }

    const Schema& schema_;
};

std::vector<Study> real_studies() {
    std::vector<Study> studies = {everything()};
    for (const char* example : {"henhouse-lamp", "sewing-adapter", "seedling-driver"}) {
        studies.push_back(study_in(source_folder() / "examples" / example));
    }
    return studies;
}

TEST(ReportJson, EveryKeyIsDocumentedWithItsTypeAndPresence) {
    const Schema schema = documented();
    ASSERT_GT(schema.size(), 20u);
    for (const Study& study : real_studies()) {
        Walk walk(schema);
        walk.object(Json::parse(to_json(study)), "report", study.dossier.item.name.value);
        EXPECT_THAT(walk.complaints, testing::IsEmpty());
    }
}

TEST(ReportJson, EveryDocumentedKeyIsMetInSomeReport) {
    const Schema schema = documented();
    Walk walk(schema);
    for (const Study& study : real_studies()) {
        walk.object(Json::parse(to_json(study)), "report", "report");
    }
    // Things that a sound dossier does not have, or that depend on where a fault lies.
    const std::set<std::string> rare = {"power.suspect", "power.disagreement_text"};
    std::vector<std::string> never;
    for (const auto& [object, keys] : schema) {
        for (const auto& [key, described] : keys) {
            const std::string name = object + "." + key;
            if (walk.met.count(name) == 0 && rare.count(name) == 0 && object != "complaint") {
                never.push_back(name);
            }
        }
    }
    EXPECT_THAT(never, testing::IsEmpty());
}

TEST(ReportJson, TheCheckItselfComplainsOfAnUnknownKeyAndAWrongType) {
    const Schema schema = documented();
    Json report = Json::parse(to_json(everything()));
    report["extra"] = 1;
    report["item"]["name"] = 7;
    report["supply"].erase("kind");
    Walk walk(schema);
    walk.object(report, "report", "report");
    EXPECT_THAT(walk.complaints,
                testing::UnorderedElementsAre("report: key 'extra' is not documented",
                                              "report.item.name: is no text",
                                              "report.supply: key 'kind' is missing"));
}

TEST(ReportJson, HoldsWhatTheDossierSays) {
    const Json report = Json::parse(to_json(everything()));
    EXPECT_EQ(report["item"]["name"], "Workbench night light");
    EXPECT_EQ(report["item"]["invented"], true);
    EXPECT_EQ(report["supply"]["voltage"]["low"], 220.0);
    EXPECT_EQ(report["supply"]["frequency"]["choices"], Json::array({50.0, 60.0}));
    EXPECT_EQ(report["empty_places"], Json::array({"R9"}));
    const auto part = [&](const std::string& name) {
        for (const Json& one : report["parts"]) {
            if (one["name"] == name) {
                return one;
            }
        }
        return Json();
    };
    EXPECT_EQ(part("R1")["value"]["value"], 470e3);
    EXPECT_EQ(part("R1")["known"]["value"], "marking");
    EXPECT_EQ(part("R1")["alternatives"][0]["reading"], "47k");
    EXPECT_EQ(part("T1")["windings"][0]["turns"], 120.0);
    EXPECT_EQ(part("R1")["pins"][0]["net"], "L_F");
}

TEST(ReportJson, BytesDoNotDependOnWhereTheDossierLies) {
    const std::string text = base::read_file(source_folder() / "docs" / "everything.toml");
    EXPECT_EQ(to_json(study_of(text, "/a/dossier.toml")),
              to_json(study_of(text, "/b/c/dossier.toml")));
}

TEST(ReportJson, HostileNamesAreStillJson) {
    const Json report = Json::parse(to_json(study_of(hostile)));
    EXPECT_EQ(report["parts"][0]["name"], "</script><b>R1&");
}

}  // namespace
}  // namespace etchback::report
