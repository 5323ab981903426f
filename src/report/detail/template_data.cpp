#include "report/detail/template_data.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

#include "report/detail/template_fields.h"
#include "report/detail/words.h"

namespace etchback::report::detail {
namespace {

using Data = kainjow::mustache::data;

Data data_of(const Link& one);
Data data_of(const Fact& one);
Data data_of(const EvidenceView& one);
Data data_of(const FindingView& one);
Data data_of(const PinView& one);
Data data_of(const PartView& one);
Data data_of(const NetView& one);
Data data_of(const DomainView& one);
Data data_of(const BridgeView& one);
Data data_of(const FigureView& one);
Data data_of(const FigureGroup& one);
Data data_of(const ClaimView& one);
Data data_of(const ReadingView& one);
Data data_of(const TriangleRow& one);
Data data_of(const TriangleView& one);
Data data_of(const ContinuityView& one);
Data data_of(const ComplaintView& one);
Data data_of(const Assumed& one);

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

Data data_of(const EvidenceView& evidence) {
    return Fields()
        .text("kind", evidence.kind)
        .data("what", data_of(evidence.what))
        .text("detail", evidence.detail)
        .text("place", evidence.place);
}

template <typename One>
Data make(const One& one) {
    return data_of(one);
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
        .flag("has_extra", !part.more.empty() || !part.alternatives.empty() || !part.note.empty())
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

Data data_of(const ClaimView& claim) {
    return Fields()
        .text("quantity", claim.quantity)
        .text("claimed", claim.claimed)
        .text("where", claim.where)
        .text("read", claim.read)
        .text("note", claim.note);
}

Data data_of(const ReadingView& reading) {
    return Fields()
        .text("group", reading.group)
        .text("quantity", reading.quantity)
        .text("value", reading.value)
        .text("uncertainty", reading.uncertainty)
        .text("meter", reading.meter)
        .text("conditions", reading.conditions)
        .text("note", reading.note)
        .list("between", reading.between, make<Link>);
}

Data data_of(const TriangleRow& row) {
    return Fields().text("quantity", row.quantity).text("value", row.value).text("how", row.how);
}

// The picture of the triangle: P along the bottom, N upright, S across with its words outside.
void add_picture(Fields& fields, const TriangleView& triangle) {
    constexpr double side = 190.0;
    constexpr double away = 9.0;
    const double run = side * triangle.power_share;
    const double rise = std::sqrt(std::max(0.0, side * side - run * run));
    const auto number = [&](const char* name, double value) {
        fields.text(name, fmt::format("{:.1f}", value));
    };
    number("run", run);
    number("base", rise);
    number("top", 0.0);
    number("view_height", rise + 48.0);
    number("half", run / 2.0);
    number("below", rise + 18.0);
    number("beside", run + away);
    number("middle", rise / 2.0 + 5.0);
    number("over_x", run / 2.0 - away * rise / side);
    number("over_y", rise / 2.0 - away * run / side);
}

Data data_of(const TriangleView& triangle) {
    Fields fields;
    add_picture(fields, triangle);
    return fields.text("group", triangle.group)
        .text("verdict", triangle.verdict)
        .text("power", triangle.power)
        .text("non_active", triangle.non_active)
        .text("apparent", triangle.apparent)
        .flag("in_order", triangle.in_order)
        .flag("drawable", triangle.drawable)
        .list("rows", triangle.rows, make<TriangleRow>);
}

Data data_of(const ContinuityView& check) {
    return Fields()
        .text("beeps", check.beeps)
        .text("note", check.note)
        .list("between", check.between, make<Link>);
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

std::string side_text(const std::string& side) {
    if (side == "top" || side == "bottom") {
        return first_upper(side) + " side";
    }
    return side.empty() || side == "other" ? "Photo" : first_upper(side);
}

Data photos_data(const Page& page, const std::vector<PhotoData>& photos) {
    Data list(Data::type::list);
    for (std::size_t i = 0; i < page.photos.size(); ++i) {
        list.push_back(Fields()
                           .text("file", page.photos[i].file)
                           .text("side_text", side_text(page.photos[i].side))
                           .text("note", page.photos[i].note)
                           .text("data", photos[i].uri)
                           .text("problem", photos[i].problem));
    }
    return list;
}

Data counts_data(const std::vector<Fact>& counts) {
    double most = 1.0;
    for (const Fact& count : counts) {
        most = std::max(most, std::stod(count.text));
    }
    Data list(Data::type::list);
    for (const Fact& count : counts) {
        list.push_back(
            Fields()
                .text("label", count.label)
                .text("text", count.text)
                .text("share", fmt::format("{:.1f}", 100.0 * std::stod(count.text) / most)));
    }
    return list;
}

std::string byline(const Page& page) {
    std::string text = page.author.empty() ? "" : "By " + page.author;
    if (!page.date.empty()) {
        text += (text.empty() ? "" : ", ") + page.date;
    }
    return text;
}

}  // namespace

Data template_data(const Page& page, const std::vector<PhotoData>& photos) {
    return Fields()
        .text("name", page.name)
        .text("author", page.author)
        .text("byline", byline(page))
        .text("licence", page.licence)
        .text("licence_url", page.licence_url)
        .text("verdict", page.verdict)
        .text("isolation", page.isolation)
        .text("reference", page.reference)
        .flag("invented", page.invented)
        .flag("has_assumed_figures", page.sureness.assumed_figures > 0)
        .texts("story", page.story)
        .texts("cautions", page.cautions)
        .list("glance", page.facts, make<Fact>)
        .list("findings", page.findings, make<FindingView>)
        .data("photos", photos_data(page, photos))
        .flag("has_photos", !page.photos.empty())
        .list("parts", page.parts, make<PartView>)
        .list("nets", page.nets, make<NetView>)
        .list("domains", page.domains, make<DomainView>)
        .list("bridges", page.bridges, make<BridgeView>)
        .list("figures", page.figures, make<FigureGroup>)
        .list("claims", page.claims, make<ClaimView>)
        .list("readings", page.readings, make<ReadingView>)
        .list("triangles", page.triangles, make<TriangleView>)
        .list("continuity", page.continuity, make<ContinuityView>)
        .list("waveforms", page.waveforms, make<Fact>)
        .list("complaints", page.complaints, make<ComplaintView>)
        .data("counts", counts_data(page.sureness.counts))
        .flag("has_counts", !page.sureness.counts.empty())
        .list("assumed", page.sureness.assumed, make<Assumed>)
        .list("doubts", page.sureness.alternatives, make<Fact>);
}

}  // namespace etchback::report::detail
