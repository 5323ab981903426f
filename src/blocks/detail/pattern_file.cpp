// Reading patterns. Everything that is wrong is told, with its place.
#include <algorithm>

#include "base/file.h"
#include "base/text.h"
#include "base/toml_reader.h"
#include "blocks/net_terms.h"
#include "blocks/pattern.h"

namespace etchback::blocks {

namespace {

namespace fs = std::filesystem;
using base::TableReader;

std::string text_of(TableReader& reader, std::string_view key) {
    const auto text = reader.text(key);
    return text ? text->value : std::string();
}

std::vector<std::string> plain(const std::vector<base::Placed<std::string>>& texts) {
    std::vector<std::string> all;
    for (const auto& text : texts) {
        all.push_back(text.value);
    }
    return all;
}

// One text or an array of them.
std::vector<std::string> one_or_more(TableReader& reader,
                                     const toml::table& table,
                                     std::string_view key) {
    if (table.contains(key) && table[key].is_string()) {
        return {text_of(reader, key)};
    }
    return plain(reader.texts(key));
}

class PatternReader {
public:
    PatternReader(const toml::table& table,
                  const std::string& file,
                  const PatternBook& book,
                  base::Errors& errors)
        : table_(table),
          file_(file),
          book_(book),
          errors_(errors),
          reader_(table, file, "a pattern", errors) {}

    Pattern read() {
        reader_.require("id", "name the pattern: id = \"rcd_clamp\"");
        reader_.require("title", "say what it is: title = \"clamp\"");
        reader_.require("stage", "say where it is told: stage = \"switch\"");
        reader_.require("source", "say where it is from: source = \"common practice\"");
        pattern_.id = text_of(reader_, "id");
        pattern_.title = text_of(reader_, "title");
        pattern_.source = text_of(reader_, "source");
        read_stage();
        if (const auto n = reader_.integer("order")) {
            pattern_.order = static_cast<int>(n->value);
        }
        if (const auto n = reader_.integer("preference")) {
            pattern_.preference = static_cast<int>(n->value);
        }
        for (const toml::table* slot : reader_.tables("slot")) {
            read_slot(*slot);
        }
        for (const toml::table* net : reader_.tables("net")) {
            read_net(*net);
        }
        pattern_.across_mains = pairs("across_mains");
        pattern_.across_barrier = pairs("across_barrier");
        pattern_.same_domain = pairs("same_domain");
        pattern_.may_be_one = pairs("may_be_one");
        pattern_.where = plain(reader_.texts("where"));
        for (const toml::table* caution : reader_.tables("caution")) {
            TableReader r(*caution, file_, "a caution of pattern " + pattern_.id, errors_);
            r.require("text", "write the caution: text = \"{C} stays charged.\"");
            pattern_.cautions.push_back(text_of(r, "text"));
            r.finish();
        }
        for (const toml::table* usual : reader_.tables("usual")) {
            read_usual(*usual);
        }
        for (const toml::table* figure : reader_.tables("figure")) {
            read_figure(*figure);
        }
        for (const toml::table* saying : reader_.tables("say")) {
            TableReader r(*saying, file_, "a sentence of pattern " + pattern_.id, errors_);
            r.require("text", "write the sentence: text = \"{R} discharges {C}.\"");
            pattern_.says.push_back({text_of(r, "text"), plain(r.texts("without"))});
            r.finish();
        }
        reader_.finish();
        if (pattern_.slots.empty()) {
            reader_.complain(reader_.place(),
                             "pattern " + pattern_.id + " has no slots",
                             "add a [[pattern.slot]]");
        }
        return std::move(pattern_);
    }

private:
    void read_stage() {
        const auto stage = reader_.text("stage");
        if (!stage) {
            return;
        }
        pattern_.stage = stage->value;
        const bool known = std::any_of(book_.stages.begin(),
                                       book_.stages.end(),
                                       [&](const Stage& s) { return s.id == stage->value; });
        if (!known) {
            reader_.complain(stage->place,
                             "no stage is called '" + stage->value + "'",
                             "use one of the stages of stages.toml");
        }
    }

    int net_called(const std::string& name) {
        const int known = pattern_.net(name);
        if (known >= 0) {
            return known;
        }
        pattern_.nets.push_back({name, {}, {}, false});
        return static_cast<int>(pattern_.nets.size()) - 1;
    }

    void read_slot(const toml::table& table) {
        TableReader r(table, file_, "a slot of pattern " + pattern_.id, errors_);
        Slot slot;
        r.require("as", "name the slot: as = \"R\"");
        r.require("pins", "say where its pins go: pins = { 1 = \"bus\", 2 = \"clamp\" }");
        slot.name = text_of(r, "as");
        slot.kinds = one_or_more(r, table, "kind");
        slot.families = one_or_more(r, table, "family");
        if (slot.kinds.empty() && slot.families.empty()) {
            r.complain(r.place(), "slot " + slot.name + " has no kind", "add kind or family");
        }
        if (pattern_.slot(slot.name) >= 0) {
            r.complain(r.place(),
                       "two slots of pattern " + pattern_.id + " are called " + slot.name,
                       "rename one");
        }
        slot.role = text_of(r, "role");
        slot.if_open = text_of(r, "if_open");
        slot.if_shorted = text_of(r, "if_shorted");
        slot.fewer = text_of(r, "fewer");
        if (const auto n = r.integer("usual_series")) {
            slot.usual_series = static_cast<int>(n->value);
        }
        const auto flag = [&](std::string_view key, bool usual) {
            const auto f = r.flag(key);
            return f ? f->value : usual;
        };
        slot.owns = flag("owns", true);
        slot.several = flag("several", false);
        slot.optional = flag("optional", false) || slot.several;
        slot.or_wire = flag("or_wire", false);
        if (const auto q = r.quantity("least", base::Unit::none)) {
            slot.least = q->value.value;
        }
        if (const auto q = r.quantity("most", base::Unit::none)) {
            slot.most = q->value.value;
        }
        if (const toml::table* pins = r.table("pins")) {
            read_pins(*pins, slot);
        }
        if (slot.or_wire && slot.pins.size() != 2) {
            r.complain(r.place(),
                       "slot " + slot.name + " may be a wire but has not two pins",
                       "drop or_wire");
        }
        r.finish();
        pattern_.slots.push_back(std::move(slot));
    }

    void read_pins(const toml::table& pins, Slot& slot) {
        TableReader r(pins, file_, "the pins of slot " + slot.name, errors_);
        for (const std::string& key : r.keys()) {
            const auto net = r.text(key);
            if (!net) {
                continue;
            }
            SlotPin pin;
            const auto group = std::find_if(book_.pin_groups.begin(),
                                            book_.pin_groups.end(),
                                            [&](const auto& g) { return g.first == key; });
            pin.names =
                group != book_.pin_groups.end() ? group->second : std::vector<std::string>{key};
            pin.net = net_called(net->value);
            slot.pins.push_back(std::move(pin));
        }
        r.finish();
    }

    void read_net(const toml::table& table) {
        TableReader r(table, file_, "a net of pattern " + pattern_.id, errors_);
        r.require("name", "say which net: name = \"bus\"");
        const auto name = r.text("name");
        std::vector<std::string> is = one_or_more(r, table, "is");
        std::vector<std::string> is_not = one_or_more(r, table, "is_not");
        const auto alone = r.flag("alone");
        for (const auto* words : {&is, &is_not}) {
            for (const std::string& word : *words) {
                if (!std::binary_search(net_words().begin(), net_words().end(), word)) {
                    r.complain(r.place(),
                               "nothing is known of nets that are '" + word + "'",
                               "use one of: " + base::listed(net_words(), "or"));
                }
            }
        }
        r.finish();
        if (!name) {
            return;
        }
        const int at = pattern_.net(name->value);
        if (at < 0) {
            r.complain(name->place,
                       "no slot has a pin on net '" + name->value + "'",
                       "use a net of the slots");
            return;
        }
        pattern_.nets[static_cast<std::size_t>(at)].is = std::move(is);
        pattern_.nets[static_cast<std::size_t>(at)].is_not = std::move(is_not);
        pattern_.nets[static_cast<std::size_t>(at)].alone = alone && alone->value;
    }

    std::vector<std::pair<int, int>> pairs(std::string_view key) {
        std::vector<std::pair<int, int>> all;
        const auto names = reader_.texts(key);
        for (std::size_t i = 0; i + 1 < names.size(); i += 2) {
            const int a = pattern_.net(names[i].value), b = pattern_.net(names[i + 1].value);
            if (a < 0 || b < 0) {
                reader_.complain(names[i].place,
                                 "no slot has a pin on one of these nets",
                                 "use two nets of the slots");
            } else {
                all.emplace_back(a, b);
            }
        }
        if (names.size() % 2 != 0) {
            reader_.complain(
                reader_.place(key), "nets come in pairs here", "name two nets: [\"a\", \"b\"]");
        }
        return all;
    }

    void read_usual(const toml::table& table) {
        TableReader r(table, file_, "a usual value of pattern " + pattern_.id, errors_);
        r.require("name", "say of what: name = \"D.forward_voltage\"");
        r.require("value", "say how much: value = 0.7");
        Usual usual;
        usual.name = text_of(r, "name");
        if (const auto n = r.number("value")) {
            usual.value = n->value;
        }
        usual.source = text_of(r, "source");
        r.finish();
        pattern_.usual.push_back(std::move(usual));
    }

    // "in is bus" or "in is not bus".
    void read_when(TableReader& r, PatternFigure& figure) {
        const auto said = r.text("when");
        if (!said) {
            return;
        }
        const std::string& text = said->value;
        const std::size_t is = text.find(" is ");
        figure.when_net = is == std::string::npos ? -1 : pattern_.net(text.substr(0, is));
        figure.when = is == std::string::npos ? "" : text.substr(is + 4);
        if (figure.when.starts_with("not ")) {
            figure.when_is = false;
            figure.when.erase(0, 4);
        }
        const auto& words = net_words();
        if (figure.when_net < 0 ||
            std::find(words.begin(), words.end(), figure.when) == words.end()) {
            r.complain(said->place,
                       "'" + text + "' names no net of the pattern and no word for nets",
                       "write when = \"in is bus\" with a net of the slots and one of " +
                           base::listed(words));
        }
    }

    void read_figure(const toml::table& table) {
        TableReader r(table, file_, "a figure of pattern " + pattern_.id, errors_);
        for (const char* key : {"id", "title", "formula", "source"}) {
            r.require(key, "every figure has id, title, formula, unit and source");
        }
        PatternFigure figure;
        figure.id = text_of(r, "id");
        figure.title = text_of(r, "title");
        figure.symbol = text_of(r, "symbol");
        figure.formula = text_of(r, "formula");
        figure.source = text_of(r, "source");
        read_when(r, figure);
        figure.share = text_of(r, "share");
        figure.simulated = text_of(r, "simulated");
        if (const auto scenario = r.text("simulated_in")) {
            figure.simulated_in = scenario->value;
        }
        figure.simulated_if = text_of(r, "simulated_if");
        if (const auto within = r.number("within")) {
            figure.within = within->value;
        }
        const auto silent = r.flag("silent");
        figure.silent = silent && silent->value;
        if (const auto unit = r.text("unit")) {
            const auto known = base::unit_named(unit->value);
            if (!known) {
                r.complain(unit->place, "no unit is called '" + unit->value + "'", "use \"volt\"");
            } else {
                figure.unit = *known;
            }
        }
        r.finish();
        pattern_.figures.push_back(std::move(figure));
    }

    const toml::table& table_;
    std::string file_;
    const PatternBook& book_;
    base::Errors& errors_;
    TableReader reader_;
    Pattern pattern_;
};

void read_book(const toml::table& table,
               const std::string& file,
               PatternBook& book,
               base::Errors& errors) {
    TableReader reader(table, file, "the file", errors);
    for (const toml::table* stage : reader.tables("stage")) {
        TableReader r(*stage, file, "a stage", errors);
        book.stages.push_back({text_of(r, "id"), text_of(r, "title"), plain(r.texts("events"))});
        r.finish();
    }
    if (const toml::table* groups = reader.table("pin_groups")) {
        TableReader r(*groups, file, "the groups of pins", errors);
        for (const std::string& key : r.keys()) {
            book.pin_groups.emplace_back(key, plain(r.texts(key)));
        }
        r.finish();
    }
    for (const toml::table* pattern : reader.tables("pattern")) {
        Pattern read = PatternReader(*pattern, file, book, errors).read();
        const auto same = std::find_if(book.patterns.begin(),
                                       book.patterns.end(),
                                       [&](const Pattern& p) { return p.id == read.id; });
        if (same != book.patterns.end()) {
            *same = std::move(read);
        } else {
            book.patterns.push_back(std::move(read));
        }
    }
    reader.finish();
}

}  // namespace

int Pattern::slot(std::string_view name) const {
    const auto at = std::find_if(
        slots.begin(), slots.end(), [&](const Slot& slot) { return slot.name == name; });
    return at == slots.end() ? -1 : static_cast<int>(at - slots.begin());
}

int Pattern::net(std::string_view name) const {
    const auto at = std::find_if(
        nets.begin(), nets.end(), [&](const PatternNet& net) { return net.name == name; });
    return at == nets.end() ? -1 : static_cast<int>(at - nets.begin());
}

base::Result<PatternBook> load_patterns(const std::vector<fs::path>& folders) {
    PatternBook book;
    base::Errors errors;
    for (const fs::path& folder : folders) {
        std::error_code code;
        std::vector<fs::path> files;
        for (const auto& entry : fs::directory_iterator(folder, code)) {
            if (entry.path().extension() == ".toml") {
                files.push_back(entry.path());
            }
        }
        if (code) {
            errors.push_back({{folder.string(), 0, 0},
                              "the folder of patterns cannot be read",
                              "check that it is there"});
        }
        std::sort(files.begin(), files.end());
        for (const fs::path& file : files) {
            const auto table = base::parse_toml(base::read_file(file), file.string());
            if (!table) {
                errors.insert(errors.end(), table.errors().begin(), table.errors().end());
                continue;
            }
            read_book(*table, file.string(), book, errors);
        }
    }
    std::sort(book.patterns.begin(), book.patterns.end(), [](const Pattern& a, const Pattern& b) {
        return a.id < b.id;
    });
    if (!errors.empty()) {
        return errors;
    }
    return book;
}

}  // namespace etchback::blocks
