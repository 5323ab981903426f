#include "supplies.h"

#include <fmt/format.h>

#include <map>

namespace etchback::test {

namespace {

class Maker {
public:
    explicit Maker(unsigned seed) : random_(seed) {}

    KnownSupply make() {
        mains();
        rectifier();
        converter();
        start();
        secondary();
        regulation();
        barrier();
        return finished();
    }

private:
    struct Made {
        std::string prefix, lines;
    };
    using Ids = std::vector<int>;

    int pick(int n) { return static_cast<int>(random_() % static_cast<unsigned>(n)); }
    bool maybe() { return pick(2) == 0; }

    int part(const std::string& prefix, const std::string& lines) {
        made_.push_back({prefix, lines});
        return static_cast<int>(made_.size()) - 1;
    }
    std::string net(const std::string& name) { return name; }
    std::string fresh() { return fmt::format("X{}", ++nets_); }

    // Two ends in either order.
    int two(const std::string& prefix,
            const std::string& kind,
            const std::string& value,
            std::string a,
            std::string b) {
        if (maybe()) {
            std::swap(a, b);
        }
        const std::string said = value.empty() ? "" : fmt::format("value = \"{}\"\n", value);
        return part(
            prefix,
            fmt::format("kind = \"{}\"\n{}pins = {{ 1 = \"{}\", 2 = \"{}\" }}", kind, said, a, b));
    }
    int electrolytic(const std::string& value, const std::string& plus, const std::string& minus) {
        return part(
            "C",
            fmt::format("kind = \"electrolytic capacitor\"\nvalue = \"{}\"\npins = {{ \"+\" = "
                        "\"{}\", \"-\" = \"{}\" }}",
                        value,
                        plus,
                        minus));
    }
    int diode(const std::string& anode,
              const std::string& cathode,
              const std::string& kind = "diode") {
        return part("D",
                    fmt::format("kind = \"{}\"\npins = {{ anode = \"{}\", cathode = \"{}\" }}",
                                kind,
                                anode,
                                cathode));
    }
    // One to `most` resistors in series, or side by side.
    Ids resistors(double ohm, const std::string& a, const std::string& b, int most, bool series) {
        const int n = 1 + pick(most);
        Ids ids;
        std::string from = a;
        for (int i = 0; i < n; ++i) {
            const std::string to = !series || i + 1 == n ? b : fresh();
            const double each = series ? ohm / n : ohm * n;
            ids.push_back(two(
                "R", "resistor", fmt::format("{:.4g}", each * (0.8 + 0.1 * pick(5))), from, to));
            if (series) {
                from = to;
            }
        }
        return ids;
    }
    void block(const std::string& pattern, const Ids& ids) { blocks_.push_back({pattern, ids}); }
    static Ids with(Ids a, const Ids& b) {
        a.insert(a.end(), b.begin(), b.end());
        return a;
    }

    void mains() {
        block("mains_entry", {part("J", "kind = \"mains\"\npins = { L = \"L\", N = \"N\" }")});
        live_ = "L";
        neutral_ = "N";
        if (pick(4) != 0) {
            const bool resistor = pick(3) == 0;
            block(resistor ? "fusible_resistor" : "fuse",
                  {two(resistor ? "R" : "F",
                       resistor ? "fusible resistor" : "fuse",
                       resistor ? "10R" : "1 A",
                       live_,
                       "LF")});
            live_ = "LF";
        }
        if (maybe()) {
            block("surge_varistor", {two("RV", "varistor", "470 V", live_, neutral_)});
        }
        if (maybe()) {
            block("x_capacitor", {two("C", "X2 capacitor", "100n", live_, neutral_)});
            if (pick(3) != 0) {
                block("mains_bleeder", resistors(1e6, live_, neutral_, 3, true));
            }
        }
        if (maybe()) {
            block(
                "common_mode_choke",
                {part("L",
                      fmt::format("kind = \"common-mode choke\"\nvalue = \"20 mH\"\npins = {{ 1 = "
                                  "\"{}\", 2 = \"LC\", 3 = \"{}\", 4 = \"NC\" }}",
                                  live_,
                                  neutral_))});
            live_ = "LC";
            neutral_ = "NC";
        }
        if (pick(3) == 0) {
            block("inrush_ntc", {two("RT", "NTC", "10R", live_, "LT")});
            live_ = "LT";
        }
    }

    void rectifier() {
        if (maybe()) {
            block("mains_bridge",
                  {part("BR",
                        fmt::format(
                            "kind = \"bridge rectifier\"\npins = {{ \"~1\" = \"{}\", \"~2\" = "
                            "\"{}\", \"+\" = \"B0\", \"-\" = \"P0\" }}",
                            live_,
                            neutral_))});
        } else {
            block("diode_bridge",
                  {diode(live_, "B0"),
                   diode(neutral_, "B0"),
                   diode("P0", live_),
                   diode("P0", neutral_)});
        }
        bus_ = "B0";
        switch (pick(3)) {
            case 0:
                block("film_behind_bridge", {two("C", "film capacitor", "220n", bus_, "P0")});
                break;
            case 1:
                block("bulk_capacitor", {electrolytic("22u", bus_, "P0")});
                break;
            default: {
                Ids ids = {electrolytic("10u", bus_, "P0")};
                block("bulk_capacitor", ids);
                block("bus_filter", {two("L", "inductor", "1 mH", bus_, "B1")});
                bus_ = "B1";
                block("bulk_capacitor", {electrolytic("10u", bus_, "P0")});
            }
        }
    }

    void converter() {
        const bool opto = pick(3) != 0;
        opto_ = opto;
        const bool sense_filter = maybe();
        const bool gate = pick(4) != 0;
        std::string chip =
            "kind = \"controller\"\n"
            "thresholds = { start = \"16 V\", stop = \"9 V\", current_limit = \"1 V\" }\n"
            "pins = { VCC = \"VCC\", GND = \"P0\", DRV = \"DRV\", CS = \"CS\"";
        if (opto) {
            chip += ", FB = \"FB\"";
        }
        rt_ = maybe();
        chip += rt_ ? ", RT = \"RT\"" : "";
        comp_ = maybe();
        chip += comp_ ? ", COMP = \"COMP\"" : "";
        zcd_ = !opto && maybe();
        chip += zcd_ ? ", ZCD = \"ZCD\"" : "";
        block("controller", {part("U", chip + " }")});
        if (rt_) {
            block("frequency_resistor", {two("R", "resistor", "100k", "RT", "P0")});
        }
        if (comp_) {
            block("compensation", {two("C", "ceramic capacitor", "1u", "COMP", "P0")});
        }
        const std::string source = sense_filter ? "SRC" : "CS";
        const int q =
            part("Q",
                 fmt::format("kind = \"N-channel MOSFET\"\npins = {{ gate = \"{}\", drain = "
                             "\"DRAIN\", source = \"{}\" }}",
                             gate ? "GATE" : "DRV",
                             source));
        const int t = part("T",
                           "kind = \"transformer\"\n"
                           "pins = { 1 = \"" +
                               bus_ +
                               "\", 2 = \"DRAIN\", 3 = \"AUX\", 4 = \"P0\", 5 = \"SEC\", 6 = "
                               "\"S0\" }\nwindings = [\n  { name = \"primary\", pins = [\"2\", "
                               "\"1\"], turns = 100 },\n  { "
                               "name = \"secondary\", pins = [\"5\", \"6\"], turns = 15 },\n  { "
                               "name = \"auxiliary\", pins "
                               "= [\"3\", \"4\"], turns = 17 },\n]");
        block("flyback", {q, t});
        Ids sense = resistors(0.5 + 0.1 * pick(20), source, "P0", 3, false);
        if (sense_filter) {
            sense.push_back(two("R", "resistor", "470R", source, "CS"));
            if (maybe()) {
                sense.push_back(two("C", "ceramic capacitor", "220p", "CS", "P0"));
            }
        }
        block("current_sense", sense);
        if (gate) {
            Ids ids = {two("R", "resistor", "22R", "DRV", "GATE")};
            if (maybe()) {
                ids.push_back(diode("GATE", "DRV"));
            }
            block("gate_resistor", ids);
        }
        if (maybe()) {
            block("gate_pulldown", {two("R", "resistor", "10k", gate ? "GATE" : "DRV", "P0")});
        }
        switch (pick(3)) {
            case 0:
                break;
            case 1: {
                Ids ids = with({diode("DRAIN", "CK")}, resistors(1e5, bus_, "CK", 2, false));
                ids.push_back(two("C", "ceramic capacitor", "2n2", bus_, "CK"));
                block("rcd_clamp", ids);
                break;
            }
            default: {
                const int d = diode("DRAIN", "CK");
                block("suppressor_clamp", {d, diode(bus_, "CK", "TVS diode")});
            }
        }
        if (zcd_) {
            Ids ids = {two("R", "resistor", "47k", "AUX", "ZCD")};
            const bool divided = maybe();
            if (divided) {
                ids.push_back(two("R", "resistor", "10k", "ZCD", "P0"));
            }
            block(divided ? "detect_divider" : "zero_current_resistor", ids);
        }
    }

    void start() {
        block("startup_resistor", resistors(1e6, bus_, "VCC", 3, true));
        Ids ids = {electrolytic("10u", "VCC", "P0")};
        if (maybe()) {
            ids.push_back(two("C", "ceramic capacitor", "100n", "VCC", "P0"));
        }
        block("supply_capacitor", ids);
        if (pick(5) != 0) {
            Ids winding;
            std::string from = "AUX";
            if (maybe()) {
                winding.push_back(two("R", "resistor", "10R", "AUX", "AUXR"));
                from = "AUXR";
            }
            winding.push_back(diode(from, "VCC"));
            block("winding_supply", winding);
        }
    }

    void secondary() {
        out_ = "OUT";
        block("output_rectifier", {diode("SEC", out_, maybe() ? "Schottky diode" : "diode")});
        if (maybe()) {
            const bool resistor_first = maybe();
            const std::string mid = fresh();
            const Ids ids = {
                two("R", "resistor", "47R", resistor_first ? "SEC" : out_, mid),
                two("C", "ceramic capacitor", "470p", mid, resistor_first ? out_ : "SEC")};
            block("diode_snubber", ids);
        }
        Ids caps = {electrolytic("470u", out_, "S0")};
        for (int i = pick(3); i > 0; --i) {
            caps.push_back(maybe() ? electrolytic("470u", out_, "S0")
                                   : two("C", "ceramic capacitor", "1u", out_, "S0"));
        }
        const bool filter = maybe();
        const bool load = maybe();
        if (load && !filter) {
            caps.push_back(two("R", "resistor", "3k3", out_, "S0"));
        }
        block("output_capacitor", caps);
        if (filter) {
            Ids ids = {two("L", "inductor", "3.3 uH", out_, "OUTF"),
                       electrolytic("220u", "OUTF", "S0")};
            if (load) {
                ids.push_back(two("R", "resistor", "3k3", "OUTF", "S0"));
            }
            block("output_filter", ids);
            sense_ = "OUTF";
        } else {
            sense_ = out_;
        }
        block("terminals",
              {part("J", "kind = \"connector\"\npins = { 1 = \"" + sense_ + "\", 2 = \"S0\" }")});
    }

    void regulation() {
        if (!opto_) {
            return;
        }
        const int o = part("U",
                           "kind = \"optocoupler\"\npins = { anode = \"OA\", cathode = \"OK\", "
                           "collector = \"FB\", emitter = \"P0\" }");
        const int led = two("R", "resistor", "1k", out_, "OA");
        if (maybe()) {
            const int u =
                part("U",
                     "kind = \"shunt regulator\"\npins = { cathode = \"OK\", anode = \"S0\", "
                     "reference = \"REF\" }");
            Ids ids = {o, u, led};
            ids = with(ids, resistors(38e3, sense_, "REF", 2, true));
            ids = with(ids, resistors(1e4, "REF", "S0", 2, false));
            if (maybe()) {
                ids.push_back(two("R", "resistor", "1k", "OA", "OK"));
            }
            block("opto_shunt_feedback", ids);
            if (maybe()) {
                const std::string mid = fresh();
                block("shunt_compensation",
                      {two("R", "resistor", "4k7", "OK", mid),
                       two("C", "ceramic capacitor", "47n", mid, "REF")});
            }
        } else {
            block("opto_zener_feedback_below", {o, led, diode("S0", "OK", "Zener diode")});
        }
        if (maybe()) {
            block("feedback_filter", {two("C", "ceramic capacitor", "1n", "FB", "P0")});
        }
    }

    void barrier() {
        if (pick(3) != 0) {
            block("y_capacitor", {two("C", "Y1 capacitor", "1n", "P0", "S0")});
        }
        if (pick(4) == 0) {
            block("barrier_resistor", resistors(1e7, "P0", "S0", 2, true));
        }
    }

    KnownSupply finished() {
        std::vector<std::size_t> order(made_.size());
        for (std::size_t i = 0; i < order.size(); ++i) {
            order[i] = i;
        }
        for (std::size_t i = order.size(); i > 1; --i) {
            std::swap(order[i - 1], order[random_() % i]);
        }
        std::map<std::string, int> count;
        std::vector<std::string> names(made_.size());
        for (const std::size_t i : order) {
            names[i] = made_[i].prefix + std::to_string(++count[made_[i].prefix]);
        }
        KnownSupply supply;
        for (std::size_t i = 0; i < made_.size(); ++i) {
            std::string lines = made_[i].lines;
            // A Zener diode needs its voltage, a suppressor one, too.
            if (lines.find("Zener diode") != std::string::npos) {
                lines += "\nvalue = \"11 V\"";
            }
            supply.board.with(names[i], lines);
        }
        supply.board.shuffle(static_cast<unsigned>(random_()));
        supply.board.also("[nets.P0]\nrole = \"return\"\n[nets.S0]\nrole = \"return\"");
        for (const auto& [pattern, ids] : blocks_) {
            KnownBlock known{pattern, {}};
            for (const int id : ids) {
                known.parts.insert(names[static_cast<std::size_t>(id)]);
            }
            supply.blocks.push_back(std::move(known));
        }
        return supply;
    }

    std::mt19937 random_;
    std::vector<Made> made_;
    std::vector<std::pair<std::string, Ids>> blocks_;
    int nets_ = 0;
    std::string live_, neutral_, bus_, out_, sense_;
    bool opto_ = false, rt_ = false, comp_ = false, zcd_ = false;
};

}  // namespace

KnownSupply random_supply(unsigned seed) {
    return Maker(seed).make();
}

}  // namespace etchback::test
