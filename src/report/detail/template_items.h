// Single things of a Page as Mustache data.
#pragma once

#include <kainjow/mustache.hpp>

#include "report/detail/page.h"

namespace etchback::report::detail {

kainjow::mustache::data data_of(const Link& one);
kainjow::mustache::data data_of(const Fact& one);
kainjow::mustache::data data_of(const SummaryLine& one);
kainjow::mustache::data data_of(const EvidenceView& one);
kainjow::mustache::data data_of(const FindingView& one);
kainjow::mustache::data data_of(const PinView& one);
kainjow::mustache::data data_of(const PartView& one);
kainjow::mustache::data data_of(const NetView& one);
kainjow::mustache::data data_of(const DomainView& one);
kainjow::mustache::data data_of(const BridgeView& one);
kainjow::mustache::data data_of(const FigureView& one);
kainjow::mustache::data data_of(const FigureGroup& one);
kainjow::mustache::data data_of(const HowBlock& one);
kainjow::mustache::data data_of(const HowEvent& one);
kainjow::mustache::data data_of(const HowEvents& one);
kainjow::mustache::data data_of(const HowStage& one);
kainjow::mustache::data data_of(const HowFigure& one);
kainjow::mustache::data data_of(const RoleView& one);
kainjow::mustache::data data_of(const DifferenceView& one);
kainjow::mustache::data data_of(const ClaimView& one);
kainjow::mustache::data data_of(const ReadingView& one);
kainjow::mustache::data data_of(const TriangleRow& one);
kainjow::mustache::data data_of(const TriangleView& one);
kainjow::mustache::data data_of(const ContinuityView& one);
kainjow::mustache::data data_of(const RecordView& one);
kainjow::mustache::data data_of(const ComplaintView& one);
kainjow::mustache::data data_of(const Assumed& one);

// For lists of them: see Fields::list.
template <typename One>
kainjow::mustache::data make(const One& one) {
    return data_of(one);
}

// Parts and nets that something speaks of, parts first.
std::vector<Link> both(const std::vector<Link>& parts, const std::vector<Link>& nets);

}  // namespace etchback::report::detail
