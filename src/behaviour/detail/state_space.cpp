#include "behaviour/detail/state_space.h"

#include <fmt/format.h>

#include <Eigen/KLUSupport>
#include <Eigen/Sparse>
#include <algorithm>
#include <cmath>
#include <numbers>

namespace etchback::behaviour::detail {

namespace {

// A capacitance that is less than this part of its node's sum is rounding, not a capacitor.
constexpr double kNoCapacitance = 1e-12;
// Joins parts of a network that nothing else joins to the reference.
constexpr double kTieSiemens = 1e-9;
// From this many algebraic unknowns on, the sparse solver is quicker than the dense one.
constexpr int kSparseFrom = 60;

Matrix lower_factor(const Matrix& spd) {
    return Eigen::LLT<Matrix>(spd).matrixL();
}

}  // namespace

base::Result<StateSpace> StateSpace::make(const Network& network) {
    StateSpace s;
    s.network_ = network;
    s.nodes_ = static_cast<int>(network.nodes().size());
    s.lay_out_sources();
    if (auto errors = s.eliminate_constraints(); !errors.empty()) {
        return errors;
    }
    s.split_capacitances();
    s.scale_windings();
    s.tie_floating_nodes();
    return s;
}

void StateSpace::lay_out_sources() {
    const auto& branches = network_.branches();
    const auto count = branches.size();
    winding_of_branch_.assign(count, -1);
    constraint_of_branch_.assign(count, -1);
    curve_of_branch_.assign(count, -1);
    switch_of_branch_.assign(count, -1);
    layout_.knobs = static_cast<int>(network_.knobs().size());
    layout_.row_of_branch_sine.assign(count, -1);
    layout_.row_of_branch_table.assign(count, -1);
    for (std::size_t b = 0; b < count; ++b) {
        const auto& element = branches[b].element;
        const int index = static_cast<int>(b);
        const Signal* signal = nullptr;
        if (std::holds_alternative<Winding>(element)) {
            winding_of_branch_[b] = static_cast<int>(windings_.size());
            windings_.push_back(index);
        } else if (std::holds_alternative<Curve>(element)) {
            curve_of_branch_[b] = static_cast<int>(curves_.size());
            curves_.push_back(index);
        } else if (const auto* v = std::get_if<VoltageSource>(&element)) {
            constraint_of_branch_[b] = static_cast<int>(constraints_.size());
            constraints_.push_back(index);
            signal = &v->volt;
        } else if (const auto* i = std::get_if<CurrentSource>(&element)) {
            signal = &i->ampere;
        }
        if (signal != nullptr) {
            if (const auto* sine = std::get_if<Sine>(signal)) {
                layout_.row_of_branch_sine[b] = static_cast<int>(layout_.sines.size());
                layout_.sines.push_back({sine->amplitude,
                                         2.0 * std::numbers::pi * sine->frequency_hz,
                                         sine->phase_rad,
                                         sine->factor ? sine->factor->index : -1});
            } else if (const auto* table = std::get_if<Table>(signal)) {
                layout_.row_of_branch_table[b] = static_cast<int>(layout_.tables.size());
                layout_.tables.push_back(*table);
            }
        }
    }
    for (const BranchId id : network_.switches()) {
        switch_of_branch_[static_cast<std::size_t>(id.index)] = static_cast<int>(switches_.size());
        switches_.push_back(id.index);
    }
    const int ns = layout_.size();
    source_matrix_ = Matrix::Zero(ns, ns);
    for (int k = 0; k < static_cast<int>(layout_.sines.size()); ++k) {
        const double w = layout_.sines[static_cast<std::size_t>(k)].omega;
        source_matrix_(layout_.cosine(k), layout_.sine(k)) = -w;
        source_matrix_(layout_.sine(k), layout_.cosine(k)) = w;
    }
    for (int k = 0; k < static_cast<int>(layout_.tables.size()); ++k) {
        source_matrix_(layout_.value(k), layout_.slope(k)) = 1.0;
    }
}

RowVector StateSpace::signal_row(int branch) const {
    const auto b = static_cast<std::size_t>(branch);
    const auto& element = network_.branches()[b].element;
    const auto* volt = std::get_if<VoltageSource>(&element);
    const Signal& signal = volt != nullptr ? volt->volt : std::get<CurrentSource>(element).ampere;
    RowVector row = RowVector::Zero(layout_.size());
    if (const auto* c = std::get_if<Constant>(&signal)) {
        row[0] = c->value;
    } else if (const auto* k = std::get_if<FromKnob>(&signal)) {
        row[layout_.knob(k->knob.index)] = k->factor;
    } else if (const auto* s = std::get_if<Sine>(&signal)) {
        row[layout_.sine(layout_.row_of_branch_sine[b])] = s->amplitude;
    } else {
        row[layout_.value(layout_.row_of_branch_table[b])] = 1.0;
    }
    return row;
}

// Gauss-Jordan elimination of the constraints K v = E s with the largest pivot left. The reference
// node is the constraint v = 0.
std::vector<base::Error> StateSpace::eliminate_constraints() {
    const auto& transformers = network_.transformers();
    const int sources = static_cast<int>(constraints_.size());
    const int rows = sources + static_cast<int>(transformers.size());
    const int ns = layout_.size();
    Matrix k = Matrix::Zero(rows, nodes_);
    Matrix e = Matrix::Zero(rows, ns);
    std::vector<std::string> names;
    for (int r = 0; r < sources; ++r) {
        const Branch& branch =
            network_
                .branches()[static_cast<std::size_t>(constraints_[static_cast<std::size_t>(r)])];
        k(r, branch.from.index) += 1.0;
        k(r, branch.to.index) -= 1.0;
        e.row(r) = signal_row(constraints_[static_cast<std::size_t>(r)]);
        names.push_back(branch.name);
    }
    for (std::size_t i = 0; i < transformers.size(); ++i) {
        const IdealTransformer& t = transformers[i];
        const int r = sources + static_cast<int>(i);
        k(r, t.first_plus.index) += 1.0;
        k(r, t.first_minus.index) -= 1.0;
        k(r, t.second_plus.index) -= t.ratio;
        k(r, t.second_minus.index) += t.ratio;
        names.push_back(t.name);
    }
    k.col(0).setZero();
    constraint_ = k;
    constraint_current_ =
        rows == 0 ? Matrix(0, nodes_)
                  : Matrix(k.transpose().completeOrthogonalDecomposition().pseudoInverse());

    std::vector<int> pivot_of_row(static_cast<std::size_t>(rows), -1);
    std::vector<bool> is_pivot(static_cast<std::size_t>(nodes_), false);
    is_pivot[0] = true;
    Matrix work = k, rhs = e;
    for (int r = 0; r < rows; ++r) {
        int best = -1;
        double largest = 0.0;
        for (int n = 1; n < nodes_; ++n) {
            if (std::abs(work(r, n)) > largest * 1.0000001) {
                largest = std::abs(work(r, n));
                best = n;
            }
        }
        if (largest < 1e-9) {
            if (rhs.row(r).cwiseAbs().maxCoeff() > 1e-9) {
                return {{{},
                         fmt::format("{} asks for a voltage that other sources and transformers "
                                     "already fix otherwise",
                                     names[static_cast<std::size_t>(r)]),
                         "take one of them out or give it a series resistance"}};
            }
            continue;
        }
        pivot_of_row[static_cast<std::size_t>(r)] = best;
        is_pivot[static_cast<std::size_t>(best)] = true;
        const double scale = 1.0 / work(r, best);
        work.row(r) *= scale;
        rhs.row(r) *= scale;
        for (int other = 0; other < rows; ++other) {
            const double factor = work(other, best);
            if (other != r && factor != 0.0) {
                work.row(other) -= factor * work.row(r);
                rhs.row(other) -= factor * rhs.row(r);
            }
        }
    }
    std::vector<int> free;
    for (int n = 1; n < nodes_; ++n) {
        if (!is_pivot[static_cast<std::size_t>(n)]) {
            free.push_back(n);
        }
    }
    t_ = Matrix::Zero(nodes_, static_cast<int>(free.size()));
    u_ = Matrix::Zero(nodes_, ns);
    for (std::size_t f = 0; f < free.size(); ++f) {
        t_(free[f], static_cast<int>(f)) = 1.0;
    }
    for (int r = 0; r < rows; ++r) {
        const int p = pivot_of_row[static_cast<std::size_t>(r)];
        if (p < 0) {
            continue;
        }
        for (std::size_t f = 0; f < free.size(); ++f) {
            t_(p, static_cast<int>(f)) = -work(r, free[f]);
        }
        u_.row(p) = rhs.row(r);
    }
    return {};
}

// Pivoted elimination of the projected capacitance matrix: pivots carry the states, the others
// span its kernel.
void StateSpace::split_capacitances() {
    capacitance_ = Matrix::Zero(nodes_, nodes_);
    for (const Branch& branch : network_.branches()) {
        if (const auto* c = std::get_if<Capacitance>(&branch.element)) {
            add_two_pole(capacitance_, branch, c->farad);
        }
    }
    const Matrix cy = t_.transpose() * capacitance_ * t_;
    const int ny = static_cast<int>(cy.rows());
    std::vector<int> pivots, rest;
    Matrix work = cy;
    std::vector<bool> taken(static_cast<std::size_t>(ny), false);
    for (;;) {
        int best = -1;
        double best_share = kNoCapacitance;
        for (int i = 0; i < ny; ++i) {
            const double share = cy(i, i) > 0.0 ? work(i, i) / cy(i, i) : 0.0;
            if (!taken[static_cast<std::size_t>(i)] && share > best_share * 1.0000001) {
                best_share = share;
                best = i;
            }
        }
        if (best < 0) {
            break;
        }
        taken[static_cast<std::size_t>(best)] = true;
        pivots.push_back(best);
        const Vector column = work.col(best);
        const double d = work(best, best);
        work -= column * column.transpose() / d;
    }
    std::sort(pivots.begin(), pivots.end());
    for (int i = 0; i < ny; ++i) {
        if (!taken[static_cast<std::size_t>(i)]) {
            rest.push_back(i);
        }
    }
    charges_ = static_cast<int>(pivots.size());
    const int nw = static_cast<int>(rest.size());
    Matrix cbb(charges_, charges_), cbf(charges_, nw);
    for (int i = 0; i < charges_; ++i) {
        for (int k = 0; k < charges_; ++k) {
            cbb(i, k) =
                cy(pivots[static_cast<std::size_t>(i)], pivots[static_cast<std::size_t>(k)]);
        }
        for (int k = 0; k < nw; ++k) {
            cbf(i, k) = cy(pivots[static_cast<std::size_t>(i)], rest[static_cast<std::size_t>(k)]);
        }
    }
    Matrix p = Matrix::Zero(ny, charges_), z = Matrix::Zero(ny, nw);
    if (charges_ > 0) {
        const Eigen::LLT<Matrix> llt(cbb);
        // Scaled states: q = L^-T xq, so that q^T C q = xq^T xq.
        const Matrix scale = llt.matrixU().solve(Matrix::Identity(charges_, charges_));
        const Matrix shift = nw > 0 ? Matrix(-llt.solve(cbf)) : Matrix(charges_, 0);
        for (int i = 0; i < charges_; ++i) {
            p.row(pivots[static_cast<std::size_t>(i)]) = scale.row(i);
            if (nw > 0) {
                z.row(pivots[static_cast<std::size_t>(i)]) = shift.row(i);
            }
        }
    }
    for (int k = 0; k < nw; ++k) {
        z(rest[static_cast<std::size_t>(k)], k) = 1.0;
    }
    tp_ = t_ * p;
    tz_ = t_ * z;
    c_u_ = capacitance_ * u_ * source_matrix_;
}

void StateSpace::scale_windings() {
    const int nl = static_cast<int>(windings_.size());
    states_ = charges_ + nl;
    winding_incidence_ = Matrix::Zero(nodes_, nl);
    winding_ohm_ = Vector::Zero(nl);
    Matrix l = Matrix::Zero(nl, nl);
    for (int i = 0; i < nl; ++i) {
        const Branch& branch =
            network_.branches()[static_cast<std::size_t>(windings_[static_cast<std::size_t>(i)])];
        const auto& w = std::get<Winding>(branch.element);
        winding_incidence_(branch.from.index, i) += 1.0;
        winding_incidence_(branch.to.index, i) -= 1.0;
        winding_ohm_[i] = w.ohm;
        l(i, i) = w.henry;
    }
    for (const Coupling& c : network_.couplings()) {
        const int a = winding_of_branch_[static_cast<std::size_t>(c.first.index)];
        const int b = winding_of_branch_[static_cast<std::size_t>(c.second.index)];
        l(a, b) += c.henry;
        l(b, a) += c.henry;
    }
    if (nl > 0) {
        const Matrix lower = lower_factor(l);
        winding_scale_inv_ = lower.transpose();
        winding_scale_ =
            lower.transpose().triangularView<Eigen::Upper>().solve(Matrix::Identity(nl, nl));
    } else {
        winding_scale_ = winding_scale_inv_ = Matrix(0, 0);
    }
}

// A direction of the algebraic unknowns that no conductance holds gets a small one to the
// reference, at the node that moves most in it.
void StateSpace::tie_floating_nodes() {
    ties_ = Vector::Zero(nodes_);
    if (tz_.cols() == 0) {
        return;
    }
    Matrix g = Matrix::Zero(nodes_, nodes_);
    for (const Branch& branch : network_.branches()) {
        if (const auto* c = std::get_if<Conductance>(&branch.element)) {
            add_two_pole(g, branch, c->siemens > 0.0 ? 1.0 : 0.0);
        } else if (const auto* s = std::get_if<Switch>(&branch.element)) {
            add_two_pole(g, branch, s->off_siemens > 0.0 ? 1.0 : 0.0);
        } else if (const auto* c2 = std::get_if<Curve>(&branch.element)) {
            const auto& slopes = c2->current.slopes;
            const bool own = c2->control.amperes.empty() && c2->control.volts.size() <= 2;
            if (own && *std::min_element(slopes.begin(), slopes.end()) > 0.0) {
                add_two_pole(g, branch, 1.0);
            }
        }
    }
    std::vector<std::string> tied;
    for (int round = 0; round < tz_.cols(); ++round) {
        const Matrix h = tz_.transpose() * g * tz_;
        const Eigen::SelfAdjointEigenSolver<Matrix> eigen(h);
        if (eigen.eigenvalues()[0] > 1e-9 * std::max(1.0, eigen.eigenvalues().maxCoeff())) {
            break;
        }
        const Vector moves = tz_ * eigen.eigenvectors().col(0);
        int node = 0;
        moves.cwiseAbs().maxCoeff(&node);
        ties_[node] = kTieSiemens;
        g(node, node) += 1.0;
        tied.push_back(network_.nodes()[static_cast<std::size_t>(node)]);
    }
    if (!tied.empty()) {
        note_ = fmt::format("nothing fixes the voltage of {}: tied to the reference by 1 nS",
                            fmt::join(tied, ", "));
    }
}

void StateSpace::add_two_pole(Matrix& m, const Branch& branch, double value) const {
    const int a = branch.from.index, b = branch.to.index;
    m(a, a) += value;
    m(b, b) += value;
    m(a, b) -= value;
    m(b, a) -= value;
}

StateSpace::Line StateSpace::line(int branch, int segment) const {
    const auto& curve =
        std::get<Curve>(network_.branches()[static_cast<std::size_t>(branch)].element);
    const auto& f = curve.current;
    const double slope = f.slopes[static_cast<std::size_t>(segment)];
    if (f.corners.empty()) {
        return {slope, f.anchor};
    }
    const double corner = f.corners[static_cast<std::size_t>(std::max(segment - 1, 0))];
    return {slope, f(corner) - slope * corner};
}

// Adds the current `factor * e + offset`, which leaves branch.from and enters branch.to.
void StateSpace::book_current(const Branch& branch,
                              const Expression& e,
                              double factor,
                              double offset,
                              Matrix& gv,
                              Matrix& gj,
                              Matrix& gs) const {
    const int a = branch.from.index, b = branch.to.index;
    const auto put = [&](Matrix& m, int column, double value) {
        m(a, column) += value;
        m(b, column) -= value;
    };
    for (const auto& v : e.volts) {
        put(gv, v.node.index, factor * v.factor);
    }
    for (const auto& i : e.amperes) {
        put(gj, winding_of_branch_[static_cast<std::size_t>(i.winding.index)], factor * i.factor);
    }
    for (const auto& k : e.knobs) {
        put(gs, layout_.knob(k.knob.index), factor * k.factor);
    }
    put(gs, 0, factor * e.constant + offset);
}

// Kirchhoff's law at the nodes: C v' + gv v + gj j + gs s + K^T m = 0.
void StateSpace::assemble(const PatternKey& key, Matrix& gv, Matrix& gj, Matrix& gs) const {
    gv = Matrix::Zero(nodes_, nodes_);
    gj = winding_incidence_;
    gs = Matrix::Zero(nodes_, layout_.size());
    gv.diagonal() += ties_;
    const auto& branches = network_.branches();
    for (std::size_t b = 0; b < branches.size(); ++b) {
        const Branch& branch = branches[b];
        if (const auto* g = std::get_if<Conductance>(&branch.element)) {
            add_two_pole(gv, branch, g->siemens);
        } else if (const auto* sw = std::get_if<Switch>(&branch.element)) {
            const auto at = curves_.size() + static_cast<std::size_t>(switch_of_branch_[b]);
            add_two_pole(gv, branch, key[at] != 0 ? sw->on_siemens : sw->off_siemens);
        } else if (const auto* curve = std::get_if<Curve>(&branch.element)) {
            const Line l =
                line(static_cast<int>(b), key[static_cast<std::size_t>(curve_of_branch_[b])]);
            book_current(branch, curve->control, l.slope, l.offset, gv, gj, gs);
        } else if (const auto* c = std::get_if<Controlled>(&branch.element)) {
            book_current(branch, c->current_a, 1.0, 0.0, gv, gj, gs);
        } else if (std::holds_alternative<CurrentSource>(branch.element)) {
            const RowVector row = signal_row(static_cast<int>(b));
            gs.row(branch.from.index) += row;
            gs.row(branch.to.index) -= row;
        }
    }
}

std::string StateSpace::equations(const PatternKey& key, Equations& out) const {
    Matrix gv, gj, gs;
    assemble(key, gv, gj, gs);
    const int nl = static_cast<int>(windings_.size());
    const int ns = layout_.size();
    const Matrix gj_scaled = gj * winding_scale_;
    // v without the algebraic part.
    Matrix vx = Matrix::Zero(nodes_, states_);
    vx.leftCols(charges_) = tp_;
    Matrix vs = u_;
    if (tz_.cols() > 0) {
        Matrix rhs(nodes_, states_ + ns);
        rhs.leftCols(charges_) = gv * tp_;
        rhs.middleCols(charges_, nl) = gj_scaled;
        rhs.rightCols(ns) = gv * u_ + gs;
        const Matrix h = tz_.transpose() * gv * tz_;
        const Matrix b = -tz_.transpose() * rhs;
        Matrix w;
        if (h.rows() >= kSparseFrom) {
            const Eigen::SparseMatrix<double> sparse = h.sparseView();
            Eigen::KLU<Eigen::SparseMatrix<double>> klu(sparse);
            if (klu.info() != Eigen::Success) {
                return "the currents have no unique solution";
            }
            w = klu.solve(b);
        } else {
            const Eigen::PartialPivLU<Matrix> lu(h);
            if (!(lu.matrixLU().diagonal().cwiseAbs().minCoeff() > 0.0)) {
                return "the currents have no unique solution";
            }
            w = lu.solve(b);
        }
        if (!w.allFinite()) {
            return "the currents have no unique solution";
        }
        vx += tz_ * w.leftCols(states_);
        vs += tz_ * w.rightCols(ns);
    }
    out.node_x = vx;
    out.node_s = vs;
    // Currents leaving each node but those of capacitors and constraints.
    Matrix rx = gv * vx, rs = gv * vs + gs;
    rx.rightCols(nl) += gj_scaled;
    out.f = Matrix::Zero(states_, states_);
    out.g = Matrix::Zero(states_, ns);
    out.f.topRows(charges_) = -tp_.transpose() * rx;
    out.g.topRows(charges_) = -tp_.transpose() * (rs + c_u_);
    if (nl > 0) {
        const Matrix scale_t = winding_scale_.transpose();
        out.f.bottomRows(nl) = scale_t * (winding_incidence_.transpose() * vx);
        out.f.bottomRightCorner(nl, nl) -= scale_t * winding_ohm_.asDiagonal() * winding_scale_;
        out.g.bottomRows(nl) = scale_t * (winding_incidence_.transpose() * vs);
    }
    // All currents: with the capacitors' and the constraints'.
    rx += capacitance_ * (vx * out.f);
    rs += capacitance_ * (vx * out.g + vs * source_matrix_);
    out.source_x = -constraint_current_ * rx;
    out.source_s = -constraint_current_ * rs;
    out.kirchhoff_x = rx + constraint_.transpose() * out.source_x;
    out.kirchhoff_s = rs + constraint_.transpose() * out.source_s;
    out.kirchhoff_x.row(0).setZero();
    out.kirchhoff_s.row(0).setZero();
    return {};
}

StateSpace::Row StateSpace::expression(const Equations& e, const Expression& expression) const {
    Row row{RowVector::Zero(states_), RowVector::Zero(layout_.size())};
    for (const auto& v : expression.volts) {
        row.x += v.factor * e.node_x.row(v.node.index);
        row.s += v.factor * e.node_s.row(v.node.index);
    }
    for (const auto& i : expression.amperes) {
        const int w = winding_of_branch_[static_cast<std::size_t>(i.winding.index)];
        row.x.tail(windings_.size()) += i.factor * winding_scale_.row(w);
    }
    for (const auto& k : expression.knobs) {
        row.s[layout_.knob(k.knob.index)] += k.factor;
    }
    row.s[0] += expression.constant;
    return row;
}

StateSpace::Row StateSpace::slope(const Equations& e, const Row& row) const {
    return {row.x * e.f, row.x * e.g + row.s * source_matrix_};
}

StateSpace::Row StateSpace::branch_volts(const Equations& e, int branch) const {
    const Branch& b = network_.branches()[static_cast<std::size_t>(branch)];
    return {e.node_x.row(b.from.index) - e.node_x.row(b.to.index),
            e.node_s.row(b.from.index) - e.node_s.row(b.to.index)};
}

StateSpace::Row StateSpace::branch_amps(const Equations& e,
                                        const PatternKey& key,
                                        int branch) const {
    const auto b = static_cast<std::size_t>(branch);
    const Branch& br = network_.branches()[b];
    const auto times = [](Row row, double factor) {
        row.x *= factor;
        row.s *= factor;
        return row;
    };
    if (const auto* g = std::get_if<Conductance>(&br.element)) {
        return times(branch_volts(e, branch), g->siemens);
    }
    if (const auto* c = std::get_if<Capacitance>(&br.element)) {
        return times(slope(e, branch_volts(e, branch)), c->farad);
    }
    if (std::holds_alternative<Winding>(br.element)) {
        return expression(e, Expression::winding_current({branch}));
    }
    if (const auto* curve = std::get_if<Curve>(&br.element)) {
        const Line l = line(branch, key[static_cast<std::size_t>(curve_of_branch_[b])]);
        Row row = times(expression(e, curve->control), l.slope);
        row.s[0] += l.offset;
        return row;
    }
    if (const auto* c = std::get_if<Controlled>(&br.element)) {
        return expression(e, c->current_a);
    }
    if (const auto* sw = std::get_if<Switch>(&br.element)) {
        const auto at = curves_.size() + static_cast<std::size_t>(switch_of_branch_[b]);
        return times(branch_volts(e, branch), key[at] != 0 ? sw->on_siemens : sw->off_siemens);
    }
    if (std::holds_alternative<VoltageSource>(br.element)) {
        const int r = constraint_of_branch_[b];
        return {e.source_x.row(r), e.source_s.row(r)};
    }
    return {RowVector::Zero(states_), signal_row(branch)};
}

StateSpace::Row StateSpace::probe(const Equations& e,
                                  const PatternKey& key,
                                  const Probe& probe) const {
    switch (probe.kind) {
        case Probe::Kind::expression:
            return expression(e, probe.expression);
        case Probe::Kind::slope:
            return slope(e, expression(e, probe.expression));
        case Probe::Kind::branch_volts:
            return branch_volts(e, probe.branch.index);
        case Probe::Kind::branch_amps:
            return branch_amps(e, key, probe.branch.index);
    }
    return {};
}

Vector StateSpace::stored(const Vector& x, const Vector& s) const {
    const auto& branches = network_.branches();
    Vector out = Vector::Zero(static_cast<Eigen::Index>(branches.size()));
    const Vector v = tp_ * x.head(charges_) + u_ * s;
    const Vector j = winding_scale_ * x.tail(static_cast<Eigen::Index>(windings_.size()));
    for (std::size_t b = 0; b < branches.size(); ++b) {
        if (std::holds_alternative<Capacitance>(branches[b].element)) {
            out[static_cast<Eigen::Index>(b)] = v[branches[b].from.index] - v[branches[b].to.index];
        } else if (winding_of_branch_[b] >= 0) {
            out[static_cast<Eigen::Index>(b)] = j[winding_of_branch_[b]];
        }
    }
    return out;
}

// The state whose capacitor voltages are nearest in energy: xq = (T P)^T q, where q are the charges
// that the wanted voltages would put on the nodes.
Vector StateSpace::state_of(const Vector& stored, const Vector& s) const {
    const auto& branches = network_.branches();
    const Vector vu = u_ * s;
    Vector charge = Vector::Zero(nodes_);
    Vector j = Vector::Zero(static_cast<Eigen::Index>(windings_.size()));
    for (std::size_t b = 0; b < branches.size(); ++b) {
        const int from = branches[b].from.index, to = branches[b].to.index;
        if (const auto* c = std::get_if<Capacitance>(&branches[b].element)) {
            const double q =
                c->farad * (stored[static_cast<Eigen::Index>(b)] - (vu[from] - vu[to]));
            charge[from] += q;
            charge[to] -= q;
        } else if (winding_of_branch_[b] >= 0) {
            j[winding_of_branch_[b]] = stored[static_cast<Eigen::Index>(b)];
        }
    }
    Vector x(states_);
    x.head(charges_) = tp_.transpose() * charge;
    x.tail(static_cast<Eigen::Index>(windings_.size())) = winding_scale_inv_ * j;
    return x;
}

}  // namespace etchback::behaviour::detail
