// Windows of recorded samples and envelopes.
#pragma once

#include <vector>

#include "behaviour/detail/kernel.h"
#include "behaviour/simulation.h"

namespace etchback::behaviour::detail {

// Value and derivatives of each row of a set.
struct Jets {
    std::vector<double> f, f1, f2;
    void resize(int rows) {
        f.resize(static_cast<std::size_t>(rows));
        f1.resize(static_cast<std::size_t>(rows));
        f2.resize(static_cast<std::size_t>(rows));
    }
};

class Recorder {
public:
    // Probes of every window, each once, in the order of their rows.
    const std::vector<int>& probes() const { return probes_; }
    int version() const { return version_; }

    void add_window(const std::vector<ProbeId>& probes, Ticks start, Ticks end);
    void add_envelope(const std::vector<ProbeId>& probes, Ticks start, Ticks end, int cells);
    bool active(Ticks now) const;
    Ticks next_boundary(Ticks now) const;  // the largest value where there is none

    // The step from `begin` to `end` with the rows' jets at both.
    void step(const Network& network, Ticks begin, Ticks end, const Jets& a, const Jets& b);

    const std::vector<Trace>& traces() const { return traces_; }
    const std::vector<Envelope>& envelopes() const { return envelopes_; }

    Jets here, there;
    bool here_valid = false;

private:
    struct Window {
        Ticks start, end;
        std::vector<int> rows;
        std::size_t first;  // of its traces or envelopes
        bool cells = false;
    };
    int row_of(int probe);
    int pieces(const Network& network, double h, const Jets& a, const Jets& b) const;
    void into_window(
        const Window& w, double t0, double h, int pieces, const Jets& a, const Jets& b);
    void into_cells(const Window& w, double t0, double h, const Jets& a, const Jets& b);

    std::vector<int> probes_;
    int version_ = 0;
    std::vector<Window> windows_;
    std::vector<Trace> traces_;
    std::vector<Envelope> envelopes_;
};

}  // namespace etchback::behaviour::detail
