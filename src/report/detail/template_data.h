// A Page as the data that the Mustache templates in data/report ask for.
#pragma once

#include <kainjow/mustache.hpp>

#include <string>
#include <vector>

#include "report/detail/page.h"

namespace etchback::report::detail {

// A photo that goes into the page, or why it does not.
struct PhotoData {
    std::string uri;
    std::string problem;
};

// `photos` belong to page.photos, one each.
kainjow::mustache::data template_data(const Page& page, const std::vector<PhotoData>& photos);

// Adds what the section on behaviour asks for.
void add_behaviour(kainjow::mustache::data& data, const Page& page);

// Names, neighbours and goals for the scripts, as JSON that is safe inside a script element.
std::string facts_json(const Page& page);

}  // namespace etchback::report::detail
