// How the facts about a part are known, and what else they might be.
#include <fmt/format.h>

#include <algorithm>
#include <map>

#include "base/text.h"
#include "dossier/detail/reading.h"
#include "dossier/words.h"

namespace etchback::dossier::detail {

namespace {

Basis basis_of(const Text& word) {
    return basis_named(word.value).value_or(Basis::seen);
}

Alternative read_alternative(TableReader& reader, const Context& c) {
    Alternative alternative;
    const Text field =
        needed_text(reader, "field", "say which fact may be read another way: field = \"value\"");
    const auto facts = part_facts();
    if (!field.value.empty() && std::ranges::find(facts, field.value) == facts.end()) {
        const std::string guess = did_you_mean(field.value, facts);
        c.complain(field.place,
                   fmt::format("{}: a part has no fact {}", reader.where(), in_quotes(field.value)),
                   guess.empty() ? "write one of " + base::listed(facts, "or") : guess);
    }
    alternative.field = field.value;
    if (reader.has("reading")) {
        alternative.reading = reader.spelled("reading").value_or(Text{});
    } else {
        alternative.reading =
            needed_text(reader, "reading", "write the other reading: reading = \"10k\"");
    }
    alternative.because = text_of(reader, "because");
    if (const auto weight = reader.number("weight")) {
        alternative.weight = weight->value;
        if (!(weight->value >= 0.0 && weight->value <= 1.0)) {
            c.complain(weight->place,
                       fmt::format(
                           "{}: weight {:g} is not between 0 and 1", reader.where(), weight->value),
                       "write how likely this reading is: 0.1 is one chance in ten");
        }
    }
    reader.finish();
    return alternative;
}

}  // namespace

void read_known(TableReader& part_reader, const toml::table& table, Part& part, const Context& c) {
    const toml::node* node = table.get("known");
    if (node == nullptr || !node->is_table()) {
        if (const auto word = part_reader.word("known", basis_words())) {
            part.known.emplace("", basis_of(*word));
        }
        return;
    }
    TableReader reader(
        *part_reader.table("known"), c.file, part_reader.where() + ", known", c.errors);
    if (const auto word = reader.word("rest", basis_words())) {
        part.known.emplace("", basis_of(*word));
    }
    for (const std::string& fact : part_facts()) {
        if (const auto word = reader.word(fact, basis_words())) {
            part.known.emplace(fact, basis_of(*word));
        }
    }
    reader.finish();
}

void read_alternatives(TableReader& part_reader, Part& part, const Context& c) {
    std::map<std::string, double> weights;
    for (const toml::table* table : part_reader.tables("alternatives")) {
        TableReader reader(
            *table,
            c.file,
            fmt::format("{}, alternative {}", part_reader.where(), part.alternatives.size() + 1),
            c.errors);
        part.alternatives.push_back(read_alternative(reader, c));
        const Alternative& last = part.alternatives.back();
        const double sum = weights[last.field] += last.weight;
        constexpr double rounding = 1e-9;
        if (sum > 1.0 + rounding && last.weight <= 1.0) {
            c.complain(reader.place("weight"),
                       fmt::format("{}: the weights of the other readings of {} add up to {:g}",
                                   part_reader.where(),
                                   last.field,
                                   sum),
                       "together they cannot be likelier than 1");
        }
    }
}

}  // namespace etchback::dossier::detail
