#include "report/detail/template_data.h"

#include <fmt/format.h>

#include <algorithm>

#include "report/detail/template_fields.h"
#include "report/detail/template_items.h"
#include "report/detail/words.h"

namespace etchback::report::detail {
namespace {

using Data = kainjow::mustache::data;

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
                .text("share", fmt::format("{:.1f}", 100.0 * std::stod(count.text) / most))
                .flag("weak", count.label == "assumed"));
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
        .list("isolation", page.isolation, make<Link>)
        .text("reference", page.reference)
        .flag("invented", page.invented)
        .flag("has_assumed_figures", page.sureness.assumed_figures > 0)
        .texts("story", page.story)
        .texts("cautions", page.cautions)
        .list("summary", page.summary, make<SummaryLine>)
        .list("findings", page.findings, make<FindingView>)
        .data("photos", photos_data(page, photos))
        .flag("has_photos", !page.photos.empty())
        .list("parts", page.parts, make<PartView>)
        .list("nets", page.nets, make<NetView>)
        .list("domains", page.domains, make<DomainView>)
        .list("bridges", page.bridges, make<BridgeView>)
        .list("figures", page.figures, make<FigureGroup>)
        .list("how", page.how, make<HowStage>)
        .list("how_figures", page.how_figures, make<HowFigure>)
        .flag("how_simulated", page.how_simulated)
        .list("roles", page.roles, make<RoleView>)
        .flag("against", page.has_against)
        .list("differences", page.differences, make<DifferenceView>)
        .text("against_words", page.against_words)
        .list("unexplained", page.unexplained, make<Link>)
        .list("claims", page.claims, make<ClaimView>)
        .list("readings", page.readings, make<ReadingView>)
        .list("triangles", page.triangles, make<TriangleView>)
        .list("continuity", page.continuity, make<ContinuityView>)
        .texts("reading_doubts", page.doubts)
        .list("records", page.records, make<RecordView>)
        .list("waveforms", page.waveforms, make<Fact>)
        .list("complaints", page.complaints, make<ComplaintView>)
        .data("counts", counts_data(page.sureness.counts))
        .text("headline", page.sureness.headline)
        .text("absent", page.sureness.absent)
        .flag("has_bench",
              !(page.claims.empty() && page.readings.empty() && page.triangles.empty() &&
                page.continuity.empty() && page.waveforms.empty() && page.records.empty()))
        .flag("has_counts", !page.sureness.counts.empty())
        .list("assumed", page.sureness.assumed, make<Assumed>)
        .list("doubts", page.sureness.alternatives, make<Fact>);
}

}  // namespace etchback::report::detail
