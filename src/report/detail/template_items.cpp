#include "report/detail/template_items.h"

#include "report/detail/template_fields.h"
#include "report/detail/words.h"

namespace etchback::report::detail {

using Data = kainjow::mustache::data;

constexpr std::size_t shown_at_once = 3;  // pieces of evidence; more are folded

Data data_of(const Link& link) {
    return Fields()
        .text("text", link.text)
        .text("part", link.part)
        .text("net", link.net)
        .text("anchor", link.anchor)
        .flag("is_link", !link.anchor.empty());
}

Data data_of(const Fact& fact) {
    return Fields()
        .text("label", fact.label)
        .text("text", fact.text)
        .text("anchor", anchor("part", fact.label));
}

Data data_of(const SummaryLine& line) {
    return Fields().text("label", line.label).list("words", line.words, make<Link>);
}

Data data_of(const EvidenceView& evidence) {
    return Fields()
        .text("kind", evidence.kind)
        .data("what", data_of(evidence.what))
        .text("detail", evidence.detail)
        .text("place", evidence.place);
}

std::vector<Link> both(const std::vector<Link>& parts, const std::vector<Link>& nets) {
    std::vector<Link> all = parts;
    all.insert(all.end(), nets.begin(), nets.end());
    return all;
}

Data data_of(const FindingView& finding) {
    Fields fields;
    for (const char* severity : {"danger", "warning", "weakness", "note"}) {
        fields.flag(severity, finding.severity == severity);
    }
    return fields.text("number", std::to_string(finding.number))
        .text("anchor", finding.anchor)
        .text("severity", finding.severity)
        .text("confidence", finding.confidence)
        .text("title", finding.title)
        .text("text", finding.text)
        .text("remedy", finding.remedy)
        .text("basis", finding.basis)
        .text("caution", finding.caution)
        .list("about", both(finding.parts, finding.nets), make<Link>)
        .flag("fold", finding.evidence.size() > shown_at_once)
        .text("number_of_evidence", std::to_string(finding.evidence.size()))
        .list("evidence", finding.evidence, make<EvidenceView>);
}

Data data_of(const PinView& pin) {
    return Fields()
        .text("pin", pin.pin)
        .text("net", pin.net)
        .text("net_anchor", anchor("net", pin.net));
}

Data data_of(const PartView& part) {
    return Fields()
        .text("name", part.name)
        .text("row", anchor("row-part", part.name))
        .text("anchor", anchor("part", part.name))
        .text("kind", part.kind)
        .text("title", part.title)
        .text("value", part.value)
        .text("marking", part.marking)
        .text("body", part.body)
        .text("rating", part.rating)
        .text("note", part.note)
        .flag("value_doubted", part.value_doubted)
        .flag("touchable", part.touchable)
        .flag("fitted", part.fitted)
        .list("pins", part.pins, make<PinView>)
        .list("more", part.more, make<Fact>)
        .list("known", part.known, make<Fact>)
        .texts("alternatives", part.alternatives);
}

Data data_of(const NetView& net) {
    return Fields()
        .text("name", net.name)
        .text("row", anchor("row-net", net.name))
        .text("anchor", anchor("net", net.name))
        .text("also", net.also)
        .text("role", net.role)
        .text("domain", net.domain)
        .text("voltage", net.voltage)
        .text("note", net.note)
        .flag("touchable", net.touchable)
        .list("pins", net.pins, make<Link>);
}

Data data_of(const DomainView& domain) {
    return Fields()
        .text("name", first_upper(domain.name))
        .text("nature", domain.nature)
        .text("explanation", domain.explanation)
        .text("reference", domain.reference)
        .text("reference_anchor", anchor("net", domain.reference))
        .list("nets", domain.nets, make<Link>);
}

Data data_of(const BridgeView& bridge) {
    return Fields()
        .text("name", bridge.part.text)
        .text("anchor", bridge.part.anchor)
        .text("kind", bridge.kind)
        .text("between", bridge.between)
        .text("way", bridge.way);
}

Data data_of(const FigureView& figure) {
    return Fields()
        .text("anchor", figure.anchor)
        .text("title", figure.title)
        .text("result", figure.result)
        .text("formula", figure.formula)
        .text("worked", figure.worked)
        .text("source", figure.source)
        .flag("assumed", figure.assumed)
        .list("about", figure.about, make<Link>)
        .list("evidence", figure.evidence, make<EvidenceView>);
}

Data data_of(const FigureGroup& group) {
    return Fields().text("title", group.title).list("figures", group.figures, make<FigureView>);
}

Data data_of(const HowBlock& block) {
    return Fields()
        .text("title", block.title)
        .list("parts", block.parts, make<Link>)
        .texts("sentences", block.sentences)
        .texts("remarks", block.remarks)
        .texts("cautions", block.cautions)
        .text("simulated", block.simulated)
        .texts("doubts", block.doubts);
}

Data data_of(const HowEvent& event) {
    return Fields().text("time", event.time).text("text", event.text);
}

Data data_of(const HowEvents& events) {
    return Fields()
        .text("lead", events.lead)
        .list("lines", events.lines, make<HowEvent>)
        .text("more", events.more)
        .text("outcome", events.outcome);
}

Data data_of(const HowStage& stage) {
    return Fields()
        .text("title", stage.title)
        .list("blocks", stage.blocks, make<HowBlock>)
        .list("events", stage.events, make<HowEvents>);
}

Data data_of(const HowFigure& figure) {
    return Fields()
        .text("title", figure.title)
        .text("value", figure.value)
        .text("spread", figure.spread)
        .text("simulated", figure.simulated)
        .text("scenario", figure.scenario)
        .text("worked", figure.worked)
        .text("source", figure.source)
        .flag("assumed", figure.assumed)
        .list("about", figure.parts, make<Link>);
}

Data data_of(const DifferenceView& difference) {
    return Fields()
        .text("number", difference.number)
        .text("kind", difference.kind)
        .text("words", difference.words)
        .text("consequence", difference.consequence)
        .text("source", difference.source)
        .list("about", difference.parts, make<Link>);
}

Data data_of(const RoleView& role) {
    return Fields()
        .data("part", make(role.part))
        .text("kind", role.kind)
        .text("role", role.role)
        .text("block", role.block);
}

Data data_of(const ComplaintView& complaint) {
    return Fields()
        .text("what", complaint.what)
        .text("todo", complaint.todo)
        .text("place", complaint.place)
        .flag("doubtful", complaint.doubtful)
        .list("about", both(complaint.parts, complaint.nets), make<Link>);
}

Data data_of(const Assumed& assumed) {
    return Fields()
        .text("field", first_upper(assumed.field))
        .list("parts", assumed.parts, make<Link>);
}

}  // namespace etchback::report::detail
