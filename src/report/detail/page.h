// What the report says, in words and in order. Both the page (html.cpp) and the paper (pdf.cpp)
// are made from this, so that they cannot say different things.
#pragma once

#include <string>
#include <vector>

#include "report/behaviour_view.h"
#include "report/bench_view.h"
#include "report/study.h"

namespace etchback::report::detail {

// A labelled line: "marking": "value and type".
struct Fact {
    std::string label;
    std::string text;
};

// A name that the reader can follow: to a part, a net, or a place on the page.
struct Link {
    std::string text;
    std::string part;  // its name, or empty
    std::string net;
    std::string anchor;  // id on the page, without '#'; empty: nothing to follow
};

// Plain words and links in a row, read as one sentence.
using Sentence = std::vector<Link>;

struct SummaryLine {
    std::string label;  // "Fed by"
    Sentence words;
};

struct EvidenceView {
    std::string kind;  // "reading"; empty where the name says it
    Link what;
    std::string detail;
    std::string place;  // "dossier.toml, line 12"
};

struct FindingView {
    int number = 0;
    std::string anchor;
    std::string severity;  // "danger"; also the name of its shape
    std::string confidence;
    std::string title, text, remedy, basis, caution;
    std::vector<Link> parts, nets;
    std::vector<EvidenceView> evidence;
};

struct PinView {
    std::string pin;
    std::string net;  // empty: on no net
};

struct PartView {
    std::string name, kind, title, value, marking, body, rating, note;
    bool value_doubted = false;  // there is another reading of some fact
    bool touchable = false;
    bool fitted = true;
    std::vector<PinView> pins;
    std::vector<Fact> more;   // windings, thresholds, the kind's own properties
    std::vector<Fact> known;  // basis -> what is known that way: "marking": "value"
    std::vector<std::string> alternatives;
};

struct NetView {
    std::string name, also, role, domain, voltage, note;
    bool touchable = false;
    std::vector<Link> pins;  // "R1.1", each leading to its part
};

struct DomainView {
    std::string name, nature, explanation, reference;
    std::vector<Link> nets;
};
struct BridgeView {
    Link part;
    std::string kind, way, between;
};

struct FigureView {
    std::string anchor;
    std::string title, result, formula, worked, source;
    bool assumed = false;
    std::vector<Link> about;  // parts, then nets
    std::vector<EvidenceView> evidence;
};
struct FigureGroup {
    std::string title;
    std::vector<FigureView> figures;
};

// How the item works, in the order from the mains to the load.
struct HowBlock {
    std::string title;
    std::vector<Link> parts;
    std::vector<std::string> sentences, remarks, cautions;
    std::string simulated;  // what runs in time show of the same; may be empty
    std::vector<std::string> doubts;
};
// What happened in a run.
struct HowEvent {
    std::string time, text;
};
struct HowEvents {
    std::string lead, more, outcome;
    std::vector<HowEvent> lines;
};
struct HowStage {
    std::string title;
    std::vector<HowBlock> blocks;
    std::vector<HowEvents> events;
};
// A closed form, and what a run in time says of the same.
struct HowFigure {
    std::string title, value, spread, simulated, scenario, worked, source;
    bool assumed = false;
    std::vector<Link> parts;
};
// How the found circuit differs from the reference.
struct DifferenceView {
    std::string number, kind, words, consequence, source;
    std::vector<Link> parts;  // on the board
};
struct RoleView {
    Link part;
    std::string kind, role, block;
};

// What a reading or a record says to a claim.
struct ClaimRead {
    std::string text;     // "0.92 ± 0.01 (warm)"
    std::string verdict;  // "outside"; empty: not judged
};
struct ClaimView {
    std::string quantity, claimed, where, note;
    std::vector<ClaimRead> reads;
};
struct ReadingView {
    std::string group, quantity, value, uncertainty, meter, conditions, note;
    std::vector<Link> between;
};
struct TriangleRow {
    std::string quantity, value, how;  // how: "read" or "computed"
};
struct TriangleView {
    std::string group;
    std::vector<TriangleRow> rows;
    std::string verdict;  // empty where nothing can be compared
    bool in_order = true;
    bool drawable = false;     // P, Q and S are known
    double power_share = 0.0;  // P/S, for the picture
    std::string power, non_active, apparent;
};
struct ContinuityView {
    std::vector<Link> between;
    std::string beeps, note;
};

struct ComplaintView {
    std::string what, todo, place;
    bool doubtful = false;
    std::vector<Link> parts, nets;
};

struct Assumed {
    std::string field;  // "rated power"
    std::vector<Link> parts;
};
struct Sureness {
    std::string headline;      // "33 of 237 facts about the parts are assumed."
    std::vector<Fact> counts;  // "read from a marking": "12"
    std::vector<Assumed> assumed;
    std::vector<Fact> alternatives;  // part -> "value may be 47k: ..., about 1 in 10"
    std::string absent;              // "The dossier holds no photos and no readings."; or empty
    int assumed_figures = 0;
};

struct PhotoView {
    std::string file, side, note;
};

struct Page {
    std::string name, author, licence, date, maker, model;
    std::string licence_url;  // of a known licence; empty otherwise
    bool invented = false;
    std::vector<std::string> story;  // paragraphs
    std::vector<SummaryLine> summary;
    std::string verdict;  // one sentence: what the findings come to
    std::vector<FindingView> findings;
    std::vector<std::string> cautions;
    std::vector<PhotoView> photos;
    std::vector<PartView> parts;  // fitted, then empty places
    std::vector<NetView> nets;
    std::vector<DomainView> domains;
    std::vector<BridgeView> bridges;
    Sentence isolation;  // what the domains mean
    std::vector<FigureGroup> figures;
    std::vector<HowStage> how;
    std::vector<HowFigure> how_figures;
    bool how_simulated = false;  // some of them have a simulated value beside
    std::vector<RoleView> roles;
    std::vector<Link> unexplained;
    bool has_against = false;  // the dossier has a reference circuit
    std::vector<DifferenceView> differences;
    std::string against_words;   // how sure it is that none fewer would do
    bool has_behaviour = false;  // somebody tried to simulate it
    BehaviourView behaviour;     // points into the study
    std::vector<ClaimView> claims;
    std::vector<ReadingView> readings;
    std::vector<TriangleView> triangles;
    std::vector<ContinuityView> continuity;
    std::vector<std::string> doubts;  // of readings, by what their meters are made for
    std::vector<RecordView> records;  // waveforms that were read, or could not be
    std::vector<Fact> waveforms;      // those that were not looked at: file -> what
    std::vector<ComplaintView> complaints;
    Sureness sureness;
    std::string reference;  // "Typical application ... (source)", or empty
};

Page page_of(const Study& study);

// Pieces of it, each in a file of its own.
std::vector<FindingView> findings_of(const Study& study);
std::vector<PartView> parts_of(const Study& study);
std::vector<NetView> nets_of(const Study& study);
void add_domains(Page& page, const Study& study);
std::vector<FigureGroup> figures_of(const Study& study);
void add_bench(Page& page, const Study& study);
void add_against(Page& page, const Study& study);
void add_blocks(Page& page, const Study& study);  // how it works, what each part does
Sureness sureness_of(const Study& study);
// What is or is not isolated from the mains, and by which parts.
Sentence isolation_of(const Study& study);
// What a reader has to know first, drawn from the rest of the page.
std::vector<SummaryLine> summary_of(const Page& page, const Study& study);
// "1 danger and 3 weaknesses".
std::string severity_counts(const std::vector<findings::Finding>& all);
// Nothing at all is written down about what feeds the item.
bool supply_unknown(const dossier::Supply& supply);

}  // namespace etchback::report::detail
