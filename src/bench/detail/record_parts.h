// The parts of a record's figures, each in a file of its own. All read `record.wave`, which is in
// the circuit's units already.
#pragma once

#include <initializer_list>
#include <string>

#include "bench/record.h"

namespace etchback::bench::detail {

// Any of the words in the text, in whatever case.
bool has_word(const std::string& text, std::initializer_list<const char*> words);

// Adds figures to a record.
class Builder {
public:
    explicit Builder(Record& record) : record_(record) {}
    void add(const std::string& id,
             const std::string& title,
             const std::string& symbol,
             const Estimate& e,
             base::Unit unit,
             const std::string& source,
             bool assumed = true);

private:
    Record& record_;
};

void add_mains(
    Record& record, const Channel* v, const Channel* i, const MainsSetup& setup, bool lighting);
void add_light(Record& record, const Channel& channel, bool zero_known);
void add_events(Record& record, const Channel* v, const Channel* i, const MainsSetup& setup);
void add_switching(Record& record, const MainsSetup& setup);
void add_ringing(Record& record, const Channel& channel);

// Across the records of a dossier: what rings, and with what.
void add_resonances(std::vector<Record>& records, const dossier::Dossier& dossier);

}  // namespace etchback::bench::detail
