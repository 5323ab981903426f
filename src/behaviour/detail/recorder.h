// Windows of recorded samples and envelopes.
#pragma once

#include <vector>

#include "behaviour/detail/crossing.h"
#include "behaviour/detail/kernel.h"
#include "behaviour/detail/pattern.h"
#include "behaviour/simulation.h"

namespace etchback::behaviour::detail {

class Recorder {
public:
    // Probes of every window, each once, in the order of their rows.
    const std::vector<int>& probes() const { return probes_; }
    int version() const { return version_; }

    void add_window(const std::vector<ProbeId>& probes, Ticks start, Ticks end);
    void add_envelope(const std::vector<ProbeId>& probes, Ticks start, Ticks end, int cells);
    bool active(Ticks now) const;
    Ticks next_boundary(Ticks now) const;  // the largest value where there is none

    bool begins_or_ends_at(Ticks now) const;

    // One recorded probe of one window.
    struct Line {
        int row = 0;         // among probes()
        std::size_t at = 0;  // among traces or envelopes
        bool cells = false;
    };
    template <typename F>
    void each_active(Ticks now, F&& f) const {
        for (const Window& w : windows_) {
            if (w.start <= now && now < w.end) {
                for (std::size_t i = 0; i < w.rows.size(); ++i) {
                    f(Line{w.rows[i], w.first + i, w.cells});
                }
            }
        }
    }
    // Whether the cell of an envelope that a stay lies in already covers its bounds, or a stay with
    // bounds as wide was looked at in it; keeps in `seen` what is looked at next.
    bool holds(const Line& line,
               double t0,
               double span_s,
               double low,
               double high,
               CompiledRows::Seen& seen) const;
    void add_mean(const Line& line, double t0, double integral);
    // A step of the probe; `scale` is the probe's.
    void step(const Line& line, double scale, double t0, double h, const Jet& a, const Jet& b);

    const std::vector<Trace>& traces() const { return traces_; }
    const std::vector<Envelope>& envelopes() const { return envelopes_; }

private:
    struct Window {
        Ticks start, end;
        std::vector<int> rows;
        std::size_t first;  // of its traces or envelopes
        bool cells = false;
    };
    int row_of(int probe);
    std::size_t cell_of(const Envelope& e, double t) const;
    void into_trace(
        const Line& line, double scale, double t0, double h, const Jet& a, const Jet& b);
    void into_cells(const Line& line, double t0, double h, const Jet& a, const Jet& b);

    std::vector<int> probes_;
    int version_ = 0;
    std::vector<Window> windows_;
    std::vector<Trace> traces_;
    std::vector<Envelope> envelopes_;
};

}  // namespace etchback::behaviour::detail
