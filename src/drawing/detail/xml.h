// XML as far as our own drawings need it.
#pragma once

#include <string>
#include <string_view>

#include <boost/property_tree/ptree_fwd.hpp>

#include "base/error.h"

namespace etchback::drawing::detail {

// For text and for attributes in double quotes. Control characters, which XML 1.0 does not allow,
// and bytes that are no UTF-8 become U+FFFD.
std::string escaped(std::string_view text);

// Reads a document; attributes are below "<xmlattr>".
base::Result<boost::property_tree::ptree> parse_xml(std::string_view text);

}  // namespace etchback::drawing::detail
