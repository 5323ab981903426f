#include "drawing/detail/xml.h"

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

// An upper bound of the nesting: tags inside comments count too.
int depth_of(std::string_view text) {
    int depth = 0, most = 0;
    for (std::size_t i = text.find('<'); i != std::string_view::npos; i = text.find('<', i + 1)) {
        const char next = i + 1 < text.size() ? text[i + 1] : '\0';
        if (next == '/') {
            --depth;
        } else if (next != '?' && next != '!') {
            const std::size_t end = text.find('>', i);
            if (end != std::string_view::npos && text[end - 1] != '/') {
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
