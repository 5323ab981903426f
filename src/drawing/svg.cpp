#include "drawing/svg.h"

#include <fmt/format.h>

#include <algorithm>
#include <set>

#include "drawing/detail/path.h"
#include "drawing/detail/wires.h"
#include "drawing/detail/xml.h"

namespace etchback::drawing {
namespace {

using detail::escaped;
using detail::number;

std::string px(double grid) {
    return number(grid * grid_px);
}
std::string px(Point p) {
    return px(p.x) + " " + px(p.y);
}

// Lines and words take the colour of the text around them, so that a page can be light or dark.
constexpr std::string_view style_sheet =
    ".circuit text{fill:currentColor;stroke:none}"
    ".circuit .filled,.circuit .dot{fill:currentColor}"
    ".circuit .name{font-weight:bold}"
    ".circuit .isolation path{stroke-dasharray:7 5;stroke-width:1.2}"
    ".circuit .domain,.circuit .isolation text{font-style:italic}"
    ".circuit .voltage{fill:#0072b2;font-style:italic}"
    ".circuit .pin,.circuit .at{stroke:none}"
    ".circuit .hit{fill:none;stroke:none;pointer-events:all}"
    ".circuit path.hit{stroke-width:9;pointer-events:stroke}";

// Of what lies round a circuit on a sheet. The marks' orange (Okabe and Ito, "Color Universal
// Design", 2008) is told from black and grey by people with any kind of colour vision.
constexpr std::string_view sheet_style =
    ".circuit .border{stroke-width:1.6}"
    ".circuit .rule{stroke-width:.8}"
    ".circuit .bold{font-weight:bold}"
    ".circuit .caption,.circuit .block-name{fill-opacity:.6}"
    ".circuit .block-name{font-style:italic}"
    ".circuit .block{fill:currentColor;fill-opacity:.035;stroke-opacity:.4;stroke-width:.9;"
    "stroke-dasharray:2 4}"
    ".circuit .mark{stroke:#e69f00;stroke-opacity:.6;stroke-width:9}"
    ".circuit .marked{fill:#e69f00;fill-opacity:.3;stroke:#e69f00;stroke-width:2}";

// Voltages as read stand upright, simulated ones lean.
constexpr std::string_view read_style = ".circuit .read{font-style:normal}";

class Writer {
public:
    Writer(const Drawing& drawing, const circuit::Circuit& circuit, const SvgStyle& style)
        : drawing_(drawing), circuit_(circuit), style_(style) {}

    std::string write() {
        open();
        out_ += style_.under;
        isolation();
        for (std::size_t i = 0; i < circuit_.nets.size(); ++i) {
            net(static_cast<int>(i));
        }
        for (const PlacedPart& placed : drawing_.parts) {
            part(placed);
        }
        notes();
        return out_ + style_.over + "</svg>\n";
    }

private:
    void open();
    std::string on_paper(double steps, const std::string& pixels) const;
    void isolation();
    void net(int index);
    void sign(const NetSign& sign);
    void part(const PlacedPart& placed);
    void notes();
    void label(const Label& label);
    void text(
        std::string_view text, Point at, Word::Anchor anchor, double size, std::string_view type);
    void strokes(const std::vector<Stroke>& strokes, Point at);
    std::string unique_id(std::string_view prefix, std::string_view name);

    const Drawing& drawing_;
    const circuit::Circuit& circuit_;
    const SvgStyle& style_;
    std::set<std::string> ids_;
    std::string out_;
};

std::string Writer::on_paper(double steps, const std::string& pixels) const {
    return style_.mm_per_step > 0.0 ? number(steps * style_.mm_per_step) + "mm" : pixels;
}

void Writer::open() {
    const std::string width = px(drawing_.width), height = px(drawing_.height);
    if (style_.standalone) {
        out_ += "<?xml version=\"1.0\" encoding=\"UTF-8\"?>\n";
    }
    out_ += fmt::format(
        "<svg xmlns=\"http://www.w3.org/2000/svg\" class=\"circuit\" role=\"group\" width=\"{2}\" "
        "height=\"{3}\" viewBox=\"0 0 {0} {1}\" fill=\"none\" stroke=\"currentColor\" "
        "stroke-width=\"1.4\" stroke-linecap=\"round\" stroke-linejoin=\"round\" "
        "font-family=\"Liberation Sans, Arial, Helvetica, sans-serif\">\n",
        width,
        height,
        on_paper(drawing_.width, width),
        on_paper(drawing_.height, height));
    if (!style_.title.empty()) {
        out_ += "<title>" + escaped(style_.title) + "</title>\n";
    }
    out_ += "<style>" + std::string(style_sheet);
    if (style_.standalone) {
        out_ += style_.dark ? ".circuit{color:#e8e8e8}" : ".circuit{color:#111}";
    }
    if (!style_.under.empty() || !style_.over.empty()) {
        out_ += sheet_style;
    }
    if (std::any_of(drawing_.labels.begin(), drawing_.labels.end(), [](const Label& l) {
            return l.of == Label::Of::voltage;
        })) {
        out_ += read_style;
    }
    out_ += "</style>\n";
    if (style_.standalone) {
        out_ += fmt::format("<rect width=\"{}\" height=\"{}\" fill=\"{}\" stroke=\"none\"/>\n",
                            width,
                            height,
                            style_.dark ? "#15171a" : "#fff");
    }
}

// Names that differ only by characters that an id can't hold get a number behind them.
std::string Writer::unique_id(std::string_view prefix, std::string_view name) {
    std::string id(prefix);
    for (const char c : name) {
        const bool plain = (c >= '0' && c <= '9') || (c >= 'a' && c <= 'z') ||
                           (c >= 'A' && c <= 'Z') || c == '.' || c == '-' || c == '+' || c == '_' ||
                           static_cast<unsigned char>(c) >= 0x80;
        id += plain ? c : '_';
    }
    std::string candidate = id;
    for (int i = 2; !ids_.insert(candidate).second; ++i) {
        candidate = id + "." + std::to_string(i);
    }
    return escaped(candidate);
}

void Writer::text(
    std::string_view text, Point at, Word::Anchor anchor, double size, std::string_view type) {
    constexpr std::string_view anchors[] = {"", " text-anchor=\"middle\"", " text-anchor=\"end\""};
    const std::string attribute = type.empty() ? "" : fmt::format(" class=\"{}\"", type);
    out_ += fmt::format("<text{} x=\"{}\" y=\"{}\" font-size=\"{}\"{}>{}</text>",
                        attribute,
                        px(at.x),
                        px(at.y),
                        px(size),
                        anchors[static_cast<std::size_t>(anchor)],
                        escaped(text));
}

// All open strokes make one path and all filled ones another.
void Writer::strokes(const std::vector<Stroke>& strokes, Point at) {
    std::string open, filled;
    for (const Stroke& stroke : strokes) {
        (stroke.filled ? filled : open) +=
            detail::to_data(detail::moved(detail::parse_path(stroke.path), at, grid_px));
    }
    if (!open.empty()) {
        out_ += "<path d=\"" + open + "\"/>";
    }
    if (!filled.empty()) {
        out_ += "<path class=\"filled\" d=\"" + filled + "\"/>";
    }
}

void Writer::label(const Label& label) {
    constexpr std::string_view types[] = {
        "name", "value", "netname", "domain", "note", "voltage read", "voltage"};
    text(label.text, label.at, label.anchor, label.size, types[static_cast<std::size_t>(label.of)]);
    out_ += '\n';
}

void Writer::isolation() {
    for (const IsolationLine& line : drawing_.isolation) {
        std::string data;
        for (const Point& point : line.points) {
            data += (data.empty() ? "M" : "L") + px(point);
        }
        out_ += "<g class=\"isolation\"><path d=\"" + data + "\"/>";
        const Label words = label_of(line);
        text(words.text, words.at, words.anchor, words.size, {});
        out_ += "</g>\n";
    }
}

void Writer::sign(const NetSign& sign) {
    constexpr std::string_view kinds[] = {
        "mains-return", "isolated-return", "earth", "rail", "flag"};
    const Symbol symbol = symbol_of_sign(sign.kind, sign.facing, sign.text);
    out_ += fmt::format("<g class=\"sign\" data-sign=\"{}\"><path class=\"at\" d=\"M{}\"/>",
                        kinds[static_cast<std::size_t>(sign.kind)],
                        px(sign.at));
    strokes(symbol.strokes, sign.at);
    for (const Word& word : symbol.words) {
        text(word.text, {word.at.x + sign.at.x, word.at.y + sign.at.y}, word.anchor, word.size, {});
    }
    out_ += "</g>\n";
}

// As few strokes of the pen as there are, with absolute H and V.
std::string wire_data(const std::vector<Segment>& segments) {
    std::string data;
    for (const std::vector<Point>& chain : detail::chains(detail::merged(segments))) {
        data += "M" + px(chain.front());
        for (std::size_t i = 1; i < chain.size(); ++i) {
            data += detail::is_horizontal({chain[i - 1], chain[i]}) ? "H" + px(chain[i].x)
                                                                    : "V" + px(chain[i].y);
        }
    }
    return data;
}

void Writer::net(int index) {
    std::vector<Segment> segments;
    std::string dots;
    for (const Wire& wire : drawing_.wires) {
        if (wire.net.index != index) {
            continue;
        }
        segments.insert(segments.end(), wire.segments.begin(), wire.segments.end());
        for (const Point& dot : wire.dots) {
            dots += fmt::format(
                "<circle class=\"dot\" cx=\"{}\" cy=\"{}\" r=\"2.6\"/>", px(dot.x), px(dot.y));
        }
    }
    const std::string data = wire_data(segments);
    const std::string name = escaped(circuit_.nets[static_cast<std::size_t>(index)].name);
    out_ +=
        fmt::format("<g class=\"net\" id=\"{}\" data-net=\"{}\" tabindex=\"0\"><title>{}</title>\n",
                    unique_id("net-", circuit_.nets[static_cast<std::size_t>(index)].name),
                    name,
                    name);
    if (!data.empty()) {
        if (!style_.standalone) {
            out_ += "<path class=\"hit\" d=\"" + data + "\"/>";
        }
        out_ += "<path class=\"wire\" d=\"" + data + "\"/>" + dots + "\n";
    }
    for (const NetSign& s : drawing_.signs) {
        if (s.net.index == index) {
            sign(s);
        }
    }
    for (const Label& l : drawing_.labels) {
        const bool of_net = l.of == Label::Of::net_name || l.of == Label::Of::voltage ||
                            l.of == Label::Of::simulated;
        if (of_net && l.index == index) {
            label(l);
        }
    }
    out_ += "</g>\n";
}

void Writer::part(const PlacedPart& placed) {
    const circuit::Part& part = circuit_[placed.part];
    const Symbol& symbol = placed.symbol;
    const std::string name = escaped(part.name);
    out_ += fmt::format(
        "<g class=\"part\" id=\"{}\" data-part=\"{}\" tabindex=\"0\"><title>{}{}{}</title>\n",
        unique_id("part-", part.name),
        name,
        name,
        part.kind.title.empty() ? "" : ": ",
        escaped(part.kind.title));
    if (!style_.standalone) {
        out_ += fmt::format("<rect class=\"hit\" x=\"{}\" y=\"{}\" width=\"{}\" height=\"{}\"/>",
                            px(symbol.box.left + placed.at.x),
                            px(symbol.box.top + placed.at.y),
                            px(symbol.box.right - symbol.box.left),
                            px(symbol.box.bottom - symbol.box.top));
    }
    strokes(symbol.strokes, placed.at);
    for (const Word& word : symbol.words) {
        text(word.text,
             {word.at.x + placed.at.x, word.at.y + placed.at.y},
             word.anchor,
             word.size,
             {});
    }
    out_ += '\n';
    for (const SymbolPin& pin : symbol.pins) {
        out_ += fmt::format("<path class=\"pin\" data-pin=\"{}\" d=\"M{}\"/>",
                            escaped(part.pins[static_cast<std::size_t>(pin.pin)].name),
                            px(Point{pin.at.x + placed.at.x, pin.at.y + placed.at.y}));
    }
    out_ += '\n';
    for (const Label& l : drawing_.labels) {
        if ((l.of == Label::Of::part_name || l.of == Label::Of::part_value) &&
            l.index == placed.part.index) {
            label(l);
        }
    }
    out_ += "</g>\n";
}

void Writer::notes() {
    for (const Label& l : drawing_.labels) {
        if (l.of == Label::Of::domain_name || l.of == Label::Of::note) {
            label(l);
        }
    }
}

}  // namespace

Box box_of(const Label& label) {
    return text_box(label.text, label.at, label.anchor, label.size, is_bold(label.of));
}

Label label_of(const IsolationLine& line) {
    Label label;
    label.of = Label::Of::note;
    label.text = line.text;
    label.anchor = Word::Anchor::middle;
    label.size = 0.9;
    if (!line.points.empty()) {
        const Point& a = line.points.front();
        const Point& b = line.points.back();
        label.at = b.y < a.y ? b : a;
        label.at.y -= 0.3 + text_descent * label.size;
    }
    label.box = box_of(label);
    return label;
}

std::string to_svg(const Drawing& drawing, const circuit::Circuit& circuit, const SvgStyle& style) {
    return Writer(drawing, circuit, style).write();
}

}  // namespace etchback::drawing
