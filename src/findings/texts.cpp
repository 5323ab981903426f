#include <algorithm>

#include "base/file.h"
#include "base/text.h"
#include "base/toml_reader.h"
#include "findings/detail/placeholders.h"
#include "findings/finding.h"

namespace etchback::findings {
namespace {

using base::TableReader;

const std::vector<std::string>& severities() {
    static const std::vector<std::string> words = {"danger", "warning", "weakness", "note"};
    return words;
}

Severity severity_named(const std::string& word) {
    const auto it = std::find(severities().begin(), severities().end(), word);
    return static_cast<Severity>(it - severities().begin());
}

const detail::TextSpec* spec_of(std::string_view id) {
    const auto specs = detail::text_specs();
    const auto it =
        std::find_if(specs.begin(), specs.end(), [&](const auto& spec) { return spec.id == id; });
    return it == specs.end() ? nullptr : &*it;
}

std::vector<std::string> words_of(const std::vector<std::string_view>& views) {
    return {views.begin(), views.end()};
}

std::vector<std::string> all_ids() {
    std::vector<std::string> ids;
    for (const detail::TextSpec& spec : detail::text_specs()) {
        ids.emplace_back(spec.id);
    }
    return ids;
}

void check_placeholders(TableReader& reader,
                        const detail::TextSpec& spec,
                        std::string_view key,
                        const std::string& text) {
    const auto known = words_of(spec.placeholders);
    for (const std::string& name : detail::placeholders_in(text)) {
        if (std::find(known.begin(), known.end(), name) != known.end()) {
            continue;
        }
        const auto near = base::nearest_word(name, known);
        reader.complain(
            reader.place(key),
            "unknown placeholder {" + name + "} in " + reader.where(),
            near ? "did you mean {" + *near + "}?" : "this rule gives " + base::listed(known));
    }
}

std::string text_field(TableReader& reader,
                       const detail::TextSpec& spec,
                       std::string_view key,
                       bool needed) {
    if (needed) {
        reader.require(key, "say it in plain words");
    }
    const auto text = reader.text(key);
    if (!text) {
        return {};
    }
    check_placeholders(reader, spec, key, text->value);
    return std::string(base::trimmed(text->value));
}

void read_rule(const toml::table& table,
               const std::string& file,
               RuleTexts& texts,
               base::Errors& errors) {
    TableReader naming(table, file, "rule", errors);
    naming.require("id", "name the rule that this text belongs to");
    const auto id = naming.text("id");
    if (!id) {
        return;
    }
    TableReader reader(table, file, "rule " + id->value, errors);
    reader.know("id");
    const detail::TextSpec* spec = spec_of(id->value);
    if (spec == nullptr) {
        const auto near = base::nearest_word(id->value, all_ids());
        reader.complain(id->place,
                        "no rule is called '" + id->value + "'",
                        near ? "did you mean '" + *near + "'?" : "remove it");
        return;
    }
    if (texts.contains(id->value)) {
        reader.complain(id->place, "a second text for rule '" + id->value + "'", "remove one");
        return;
    }
    RuleText text;
    text.id = id->value;
    reader.require("severity", "write one of danger, warning, weakness, note");
    if (const auto word = reader.word("severity", severities())) {
        text.severity = severity_named(word->value);
    }
    text.title = text_field(reader, *spec, "title", true);
    text.text = text_field(reader, *spec, "text", true);
    text.remedy = text_field(reader, *spec, "remedy", true);
    text.basis = text_field(reader, *spec, "basis", true);
    text.caution = text_field(reader, *spec, "caution", false);
    reader.finish();
    texts.emplace(text.id, std::move(text));
}

void read_file(const std::filesystem::path& path, RuleTexts& texts, base::Errors& errors) {
    const std::string file = path.string();
    const auto parsed = base::parse_toml(base::read_file(path), file);
    if (!parsed) {
        errors.insert(errors.end(), parsed.errors().begin(), parsed.errors().end());
        return;
    }
    TableReader reader(*parsed, file, "file", errors);
    for (const toml::table* rule : reader.tables("rule")) {
        read_rule(*rule, file, texts, errors);
    }
    reader.finish();
}

}  // namespace

base::Result<RuleTexts> load_rule_texts(const std::filesystem::path& folder) {
    std::vector<std::filesystem::path> files;
    if (std::filesystem::is_directory(folder)) {
        for (const auto& entry : std::filesystem::directory_iterator(folder)) {
            if (entry.path().extension() == ".toml") {
                files.push_back(entry.path());
            }
        }
    }
    std::sort(files.begin(), files.end());
    RuleTexts texts;
    base::Errors errors;
    for (const auto& file : files) {
        read_file(file, texts, errors);
    }
    const bool all_read = errors.empty();  // else a text that has an error would seem to be missing
    for (const std::string& id : all_ids()) {
        if (all_read && !texts.contains(id)) {
            errors.push_back({{folder.string(), 0, 0},
                              "no text for the rule '" + id + "'",
                              "add a [[rule]] with this id"});
        }
    }
    if (!errors.empty()) {
        base::sort_by_place(errors);
        return errors;
    }
    return texts;
}

}  // namespace etchback::findings
