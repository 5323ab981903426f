#include "drawing/detail/xml.h"

#include <algorithm>
#include <boost/property_tree/ptree.hpp>
#include <boost/property_tree/xml_parser.hpp>
#include <sstream>

#include "base/text.h"

namespace etchback::drawing::detail {
namespace {

constexpr std::string_view replacement = "\xef\xbf\xbd";
constexpr int deepest = 64;  // ours are four deep; the parser recurses

std::size_t sequence_length(unsigned char lead) {
    return lead < 0x80 ? 1 : lead >= 0xf0 ? 4 : lead >= 0xe0 ? 3 : 2;
}

// Where the tag that starts at `from` ends: a '>' that is in no quotes.
std::size_t end_of_tag(std::string_view text, std::size_t from) {
    char quote = '\0';
    for (std::size_t i = from; i < text.size(); ++i) {
        const char c = text[i];
        if (quote != '\0') {
            quote = c == quote ? '\0' : quote;
        } else if (c == '"' || c == '\'') {
            quote = c;
        } else if (c == '>') {
            return i;
        }
    }
    return text.size();
}

// How deep the elements are nested, found without recursion. What is no XML may count for too
// much, never for too little.
int depth_of(std::string_view text) {
    int depth = 0, most = 0;
    for (std::size_t i = text.find('<'); i < text.size(); i = text.find('<', i + 1)) {
        const std::string_view rest = text.substr(i);
        if (rest.starts_with("<!--")) {
            i = std::min(text.find("-->", i), text.size());
        } else if (rest.starts_with("<![CDATA[")) {
            i = std::min(text.find("]]>", i), text.size());
        } else if (rest.starts_with("</")) {
            depth = std::max(0, depth - 1);
        } else if (!rest.starts_with("<?") && !rest.starts_with("<!")) {
            i = end_of_tag(text, i);
            if (text[i - 1] != '/') {
                most = std::max(most, ++depth);
            }
        }
    }
    return most;
}

}  // namespace

std::string escaped(std::string_view text) {
    std::string out;
    for (std::size_t i = 0; i < text.size();) {
        const char c = text[i];
        const std::size_t length = sequence_length(static_cast<unsigned char>(c));
        if (length > 1) {
            const std::string_view sequence = text.substr(i, length);
            const bool good = base::is_utf8(sequence);
            out += good ? sequence : replacement;
            i += good ? length : 1;
            continue;
        }
        ++i;
        switch (c) {
            case '&':
                out += "&amp;";
                break;
            case '<':
                out += "&lt;";
                break;
            case '>':
                out += "&gt;";
                break;
            case '"':
                out += "&quot;";
                break;
            default:
                out += static_cast<unsigned char>(c) < 0x20 ? replacement : std::string_view(&c, 1);
        }
    }
    return out;
}

base::Result<boost::property_tree::ptree> parse_xml(std::string_view text) {
    namespace pt = boost::property_tree;
    constexpr const char* remedy = "give a drawing as Etchback writes it";
    if (depth_of(text) > deepest) {
        return base::Error{{}, "the drawing's elements are nested too deeply", remedy};
    }
    std::istringstream in{std::string(text)};
    pt::ptree tree;
    try {
        pt::read_xml(in, tree, pt::xml_parser::no_comments);
    } catch (const pt::xml_parser_error& error) {
        return base::Error{{{}, static_cast<int>(error.line()), 0},
                           "the drawing is no well-formed XML (" + error.message() + ")",
                           remedy};
    }
    return tree;
}

}  // namespace etchback::drawing::detail
