// The running engine behind Simulation.
#pragma once

#include <limits>
#include <memory>
#include <optional>
#include <string>
#include <vector>

#include "behaviour/detail/crossing.h"
#include "behaviour/detail/logbook.h"
#include "behaviour/detail/pattern.h"
#include "behaviour/detail/recorder.h"
#include "behaviour/detail/spectrum.h"
#include "behaviour/simulation.h"

namespace etchback::behaviour {

// Time, stored state and the machines' memory.
class Snapshot {
public:
    struct Armed {
        bool armed = false;
        bool ready = true;  // an edge was seen from the other side
        Watch how;
        detail::Ticks at = 0;
        int row = -1;  // among the watched probes
    };
    struct Player {
        std::unique_ptr<Machine> machine;
        std::vector<Armed> watches;
        std::vector<std::optional<detail::Ticks>> timers;
    };
    detail::Ticks now = 0;
    detail::PatternKey key;
    detail::Vector x, s;
    std::vector<Player> players;
    detail::Logbook logbook;  // a story that is gone back on was never told
};

namespace detail {

class Body {
public:
    Body(StateSpace space,
         std::vector<std::unique_ptr<Machine>> machines,
         SimulationOptions options);

    Ending run_to(double t_s);
    double now_s() const { return seconds(now_); }
    double value(ProbeId probe);
    const Network& network() const { return space_.network(); }
    const std::vector<base::Error>& trouble() const { return trouble_; }

    const Recorder& recorder();  // all that was recorded up to now
    void record(std::vector<ProbeId> probes, double start_s, double end_s);
    void envelope(std::vector<ProbeId> probes, double start_s, double end_s, int cells);
    void measure(std::vector<ProbeId> probes);
    Measured measured();
    Ledger ledger();
    void harmonics(ProbeId probe, double base_hz, int orders);
    std::vector<Simulation::Harmonic> harmonics();
    const Logbook& logbook() const { return logbook_; }

    std::vector<double> stored();
    void set_stored(const std::vector<double>& values);
    std::shared_ptr<const Snapshot> snapshot();
    void restore(const Snapshot& snapshot);
    Effort effort() const;
    const std::vector<StoryLine>& story();

private:
    friend class HandsOfBody;
    using Player = Snapshot::Player;
    using Armed = Snapshot::Armed;

    // Guards at one instant: control of every curve, then every watched probe.
    struct Sample {
        std::vector<double> eta;
        std::vector<double> f;  // values, then slopes, then second derivatives (JetBlock)
        bool complete = true;   // false: only eta and the values are of this instant
    };
    double slope(const Sample& s, std::size_t guard) const {
        return s.f[static_cast<std::size_t>(pattern_->guards.block.stride()) + guard];
    }

    bool begin();
    void evaluate(Sample& sample);
    void evaluate_values(Sample& sample);
    void complete(Sample& sample);
    void compile_guards(Pattern& p);
    void compile(Pattern& p, CompiledRows& rows, const std::vector<int>& probes, int version);
    const RowVector& probe_row(Pattern& p, int probe);
    void find_rooms();
    bool drop(int mode);
    bool is_pair(int mode) const;
    bool fades(int mode) const;
    Ticks followed_step(int& mode, Ticks& rest);
    Ticks usual_step();
    Ticks largest_step(Ticks most);
    void follow(double h, bool first);
    void add_fade(int mode);
    void calm(const Sample& from, std::vector<double>& to) const;
    const std::vector<Armed*>& live();
    std::optional<double> earliest_crossing(double h, bool& unsure);
    void see_edges();
    double watch_value(const Armed& w, const Sample& s, double lead_s) const;
    Jet watch_jet(const Armed& w, const double* f, double value) const;
    double overshoot(Sample& s, Ticks at);
    bool step(Ticks limit);
    Ticks expected_exit() const;
    void commit(Ticks step);
    template <typename F>
    void walk(
        Pattern& p, const CompiledRows& rows, int row, const double* begin, Ticks span, F&& f);
    void bound_stay(Pattern& p,
                    const CompiledRows& rows,
                    const double* begin,
                    const double* end,
                    double span_s);
    void observe_extremes(Pattern& p, const double* begin, Ticks span);
    void observe_recorded(Pattern& p, const double* begin, Ticks span);
    void observe_stay();
    void add_plain();

    bool settle_instant();
    bool flip_curves();
    bool fire_watches();
    bool fire_timers();
    bool tables_due();
    bool apply();
    bool agree(PatternKey& key, const Vector& x, const Vector& s);
    int segment_of(int curve, double u) const;
    bool enter(const PatternKey& key, const Vector& x, const Vector& s);
    void hop_to(Pattern& to);
    bool turn_knobs();
    bool hop_where_it_agrees(const PatternKey& key);
    void leave();
    void open_stay();
    void close_stay();
    void watch_kirchhoff();
    void sources_at(Vector& s);
    Ticks next_table_break() const;
    Ticks next_limit(Ticks end) const;
    bool give_up(std::string what, std::string todo);
    int watched_row(int probe);
    double stored_energy();

    StateSpace space_;
    SimulationOptions options_;
    PatternCache cache_;
    std::vector<Player> players_;
    Logbook logbook_;
    Recorder recorder_;
    std::optional<Spectrum> spectrum_;

    Pattern* pattern_ = nullptr;
    Habits* habits_ = nullptr;  // of the stay under way
    PatternKey key_;            // wanted; differs from the pattern's while machines act
    Vector wanted_s_;           // wanted sources, likewise
    Vector known_s_;            // the same as the machines last left it
    PatternKey scratch_key_;
    std::vector<Ticks> flipped_at_;  // by curve
    bool dirty_ = false;
    Ticks now_ = 0, end_ = 0;
    Ticks stay_since_ = 0;
    std::size_t steps_in_stay_ = 0;
    bool all_followed_ = false;  // what was left out of a step of this stay made it unsure
    Sample here_, there_, far_;
    // The same without the modes that the step under way does not follow (body_run.cpp), and by how
    // much those may lift or sink each guard while they fade; how far the interpolation may stray.
    std::vector<double> calm_here_, calm_there_;
    std::vector<int> dropped_;
    std::vector<double> lift_, sink_, strays_;
    bool faded_ = false;  // lift_ and sink_ are not zero
    // How far each guard may still rise and fall, as the modes that are followed move it.
    std::vector<double> room_up_, room_down_, try_up_, try_down_, shares_;
    std::vector<double> need_, hull_low_, hull_high_, hopped_, kept_eta_;
    std::vector<double> stay_start_, stay_begin_, stay_end_, stay_stray_, stray_weight_;
    std::vector<double> walk_eta_, walk_next_;
    std::vector<Armed*> live_;
    bool live_stale_ = true;  // a watch was armed or disarmed
    bool here_valid_ = false;
    int curves_ = 0;
    std::vector<Ticks> table_next_;  // the next break of each table
    std::vector<int> watched_;
    int guard_version_ = 0;
    bool started_ = false, gave_up_ = false;

    std::vector<int> measure_probes_;
    int measure_version_ = 0;
    bool measuring_ = false;
    std::vector<double> least_, largest_;

    int epoch_ = 0;
    Ticks epoch_start_ = 0;
    double epoch_stored_ = 0.0, most_stored_ = 0.0;
    double worst_kirchhoff_ = 0.0;
    int worst_node_ = 0;

    std::int64_t events_ = 0, steps_ = 0;
    Ticks crowd_since_ = 0;
    int crowd_ = 0;
    std::vector<base::Error> trouble_;
    std::vector<StoryLine> story_;
};

}  // namespace detail
}  // namespace etchback::behaviour
