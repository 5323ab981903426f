// A network as linear state equations, one set for each pattern of segments and switches.
//
// Unknowns are node voltages v and winding currents j. Ideal constraints (voltage sources, ideal
// transformers) are eliminated first: v = T y + U s, where s are the sources' own states; the
// constraint currents fall out of Kirchhoff's law by projecting it with T transposed. What of y the
// capacitances do not see (the kernel of the projected capacitance matrix) is algebraic and solved
// for with the pattern's conductances; the rest and j are the states. Since capacitances and
// inductances are the same in every pattern, so is the state, and it passes every event unchanged.
// States are scaled by the Cholesky factors of capacitance and inductance: half the squared length
// of x is the stored energy, and a passive network's matrix is a negative semidefinite part plus a
// skew one, which keeps its eigenvectors well apart.
//
// s holds, in this order: 1; the knobs; for each sine its cosine and its sine (times its factor);
// for each table its value and its slope.
#pragma once

#include <Eigen/Dense>
#include <cstdint>
#include <string>
#include <vector>

#include "base/error.h"
#include "behaviour/network.h"

namespace etchback::behaviour::detail {

using Matrix = Eigen::MatrixXd;
using Vector = Eigen::VectorXd;
using RowVector = Eigen::RowVectorXd;

// One entry per curve (its segment), then one per switch (1 closed).
using PatternKey = std::vector<std::uint8_t>;

struct SineSource {
    double amplitude = 1.0;  // kept in the branch's row; the states have unit amplitude
    double omega = 0.0;
    double phase = 0.0;
    int factor_knob = -1;
};

struct SourceLayout {
    int knobs = 0;
    std::vector<SineSource> sines;
    std::vector<Table> tables;
    std::vector<int> row_of_branch_sine;   // by branch: index into sines, or -1
    std::vector<int> row_of_branch_table;  // by branch: index into tables, or -1

    int knob(int k) const { return 1 + k; }
    int cosine(int k) const { return 1 + knobs + 2 * k; }
    int sine(int k) const { return cosine(k) + 1; }
    int value(int k) const { return 1 + knobs + 2 * static_cast<int>(sines.size()) + 2 * k; }
    int slope(int k) const { return value(k) + 1; }
    int size() const { return value(static_cast<int>(tables.size())); }
};

// Rows over (x, s) of everything that can be asked, in one pattern.
struct Equations {
    Matrix f;  // x' = f x + g s
    Matrix g;
    Matrix node_x;  // v = node_x x + node_s s
    Matrix node_s;
    Matrix kirchhoff_x;  // sum of currents leaving each node; all of it must vanish
    Matrix kirchhoff_s;
    Matrix source_x;  // constraint currents: voltage sources, then transformers
    Matrix source_s;
};

class StateSpace {
public:
    // Fails with sentences: constraints that contradict each other.
    static base::Result<StateSpace> make(const Network& network);

    int states() const { return states_; }
    int source_states() const { return layout_.size(); }
    const SourceLayout& layout() const { return layout_; }
    const std::vector<int>& curves() const { return curves_; }      // branch indices
    const std::vector<int>& switches() const { return switches_; }  // branch indices
    const Matrix& source_matrix() const { return source_matrix_; }  // s' = S s
    const std::string& note() const { return note_; }

    // Fails (empty message on success) where the algebraic part has no unique solution.
    std::string equations(const PatternKey& key, Equations& out) const;

    // Rows (x part, s part) of a control, a probe, a branch's voltage and current.
    struct Row {
        RowVector x, s;
    };
    Row expression(const Equations& e, const Expression& expression) const;
    Row slope(const Equations& e, const Row& row) const;
    Row branch_volts(const Equations& e, int branch) const;
    Row branch_amps(const Equations& e, const PatternKey& key, int branch) const;
    Row probe(const Equations& e, const PatternKey& key, const Probe& probe) const;

    const Curve& curve(int index) const {
        return std::get<Curve>(
            network_.branches()[static_cast<std::size_t>(curves_[static_cast<std::size_t>(index)])]
                .element);
    }
    const Expression& control(int index) const { return curve(index).control; }
    const Network& network() const { return network_; }

    // Capacitor voltages and winding currents (by branch, others zero) from and to the state.
    Vector stored(const Vector& x, const Vector& s) const;
    Vector state_of(const Vector& stored, const Vector& s) const;

    // The line of a curve's segment: i = slope * u + offset.
    struct Line {
        double slope, offset;
    };
    Line line(int branch, int segment) const;

private:
    void lay_out_sources();
    std::vector<base::Error> eliminate_constraints();
    void split_capacitances();
    void scale_windings();
    void tie_floating_nodes();
    void add_two_pole(Matrix& gv, const Branch& branch, double siemens) const;
    RowVector signal_row(int branch) const;
    void assemble(const PatternKey& key, Matrix& gv, Matrix& gj, Matrix& gs) const;
    void book_current(const Branch& branch,
                      const Expression& e,
                      double factor,
                      double offset,
                      Matrix& gv,
                      Matrix& gj,
                      Matrix& gs) const;

    Network network_;
    SourceLayout layout_;
    std::vector<int> curves_, switches_, windings_, constraints_;
    std::vector<int> winding_of_branch_, constraint_of_branch_, curve_of_branch_, switch_of_branch_;
    int nodes_ = 0, states_ = 0, charges_ = 0;
    Matrix source_matrix_;
    Matrix capacitance_;         // by node
    Matrix constraint_;          // K: constraint rows over nodes
    Matrix t_, u_;               // v = T y + U s
    Matrix constraint_current_;  // (K K^T)^-1 K
    Matrix tp_, tz_;             // T P (scaled), T Z
    Matrix winding_incidence_;   // nodes x windings
    Matrix winding_scale_;       // j = winding_scale_ * xj
    Matrix winding_scale_inv_;
    Vector winding_ohm_;
    Matrix c_u_;   // C U S: current of capacitors on sources
    Vector ties_;  // siemens from node to reference
    std::string note_;
};

}  // namespace etchback::behaviour::detail
