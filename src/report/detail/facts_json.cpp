#include <nlohmann/json.hpp>

#include "report/detail/json_in_script.h"
#include "report/detail/template_data.h"
#include "report/detail/words.h"

namespace etchback::report::detail {
namespace {

using Json = nlohmann::ordered_json;

std::string words_about(const PartView& part) {
    std::string words = part.kind;
    for (const std::string& more : {part.value, part.title, part.marking}) {
        if (!more.empty()) {
            words += (words.empty() ? "" : ", ") + more;
        }
    }
    return words;
}

Json pins_of(const NetView& net) {
    Json pins = Json::array();
    for (const Link& pin : net.pins) {
        // The link's text is "R1.1": what stands behind the part's name is the pin.
        pins.push_back({pin.part, pin.text.substr(pin.part.size() + 1)});
    }
    return pins;
}

}  // namespace

// Lists instead of objects keyed by name: a part may be called anything, even "__proto__".
std::string facts_json(const Page& page) {
    Json facts = {{"parts", Json::array()},
                  {"nets", Json::array()},
                  {"findings", Json::array()},
                  {"figures", Json::array()}};
    for (const PartView& part : page.parts) {
        Json nets = Json::array();
        for (const PinView& pin : part.pins) {
            if (part.fitted && !pin.net.empty()) {
                nets.push_back(pin.net);
            }
        }
        facts["parts"].push_back(
            Json::array({part.name, words_about(part), nets, anchor("row-part", part.name)}));
    }
    for (const NetView& net : page.nets) {
        std::string what = net.role;
        what += net.domain.empty() ? "" : (what.empty() ? "" : ", ") + net.domain;
        facts["nets"].push_back(
            Json::array({net.name, what, pins_of(net), anchor("row-net", net.name)}));
    }
    for (const FindingView& finding : page.findings) {
        facts["findings"].push_back(Json::array({finding.title, finding.severity, finding.anchor}));
    }
    for (const FigureGroup& group : page.figures) {
        for (const FigureView& figure : group.figures) {
            facts["figures"].push_back(Json::array({figure.title, figure.result, figure.anchor}));
        }
    }
    return safe_in_script(facts.dump(-1, ' ', false, Json::error_handler_t::replace));
}

}  // namespace etchback::report::detail
