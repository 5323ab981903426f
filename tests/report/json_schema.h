// docs/json.md as a schema: its tables are read, and documents are held against them.
#pragma once

#include <filesystem>
#include <map>
#include <nlohmann/json.hpp>
#include <set>
#include <sstream>
#include <string>
#include <vector>

#include "base/file.h"
#include "base/text.h"

namespace etchback::report {

using Json = nlohmann::ordered_json;

struct Key {
    std::string type;
    bool always = false;
};
using Schema = std::map<std::string, std::map<std::string, Key>>;

inline std::vector<std::string> cells_of(const std::string& line) {
    std::vector<std::string> cells;
    std::istringstream stream(line.substr(1));
    for (std::string cell; std::getline(stream, cell, '|');) {
        cells.emplace_back(base::trimmed(cell));
    }
    return cells;
}

inline Schema documented(const std::filesystem::path& source) {
    Schema schema;
    std::string object;
    std::istringstream lines(base::read_file(source / "docs" / "json.md"));
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
        } else if (type.ends_with(" or null")) {
            if (!value.is_null()) {
                any(value, type.substr(0, type.size() - 8), where);
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

}  // namespace etchback::report
