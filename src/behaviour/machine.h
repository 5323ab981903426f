// Event-driven parts: controllers, triacs, fuses, whatever changes its mind at an instant.
//
// A machine sees probes and time, and acts through Hands: it opens and closes switches, turns
// knobs, sets timers, arms watches. Between events it does nothing; what is continuous in a
// controller (an integrator, a pull-up) is made of network elements.
#pragma once

#include <memory>
#include <string>

#include "behaviour/network.h"

namespace etchback::behaviour {

// One line of the event story. `key` names the kind of event for code and data ("started",
// "first_pulse", "current_limit", "restart" ...); `text` is a sentence for people.
struct StoryLine {
    double t_s = 0.0;
    std::string who;  // part: "U1"
    std::string key;
    std::string text;
    bool operator==(const StoryLine&) const = default;
};

enum class Edge { rising, falling };

// Asks for an event when a probe crosses threshold + slope_per_s * (t - armed at).
struct Watch {
    ProbeId probe;
    Edge edge = Edge::rising;
    double threshold = 0.0;
    double slope_per_s = 0.0;
    // true: also at once where the probe is beyond the threshold already (a comparator);
    // false: only after it was on the other side (a true edge).
    bool level = true;
};

// What a machine may do. Numbers of watches and timers are the machine's own, from 0.
class Hands {
public:
    virtual ~Hands() = default;
    virtual double now_s() const = 0;
    virtual double value(ProbeId probe) const = 0;  // at this instant, after what was done so far
    virtual void set(SwitchId id, bool closed) = 0;
    virtual void set(KnobId id, double value) = 0;
    virtual double knob(KnobId id) const = 0;
    virtual void arm(int watch, const Watch& how) = 0;  // once: it fires, then is disarmed
    virtual void disarm(int watch) = 0;
    virtual void timer(int timer, double at_s) = 0;  // replaces an earlier setting
    virtual void cancel(int timer) = 0;
    // Tells the story. Repeated keys are counted, and only the first few and the last are kept.
    virtual void tell(std::string key, std::string text) = 0;
    // Counts something that happens often (switching cycles, valley hits, limits).
    virtual void count(const char* what) = 0;
};

class Machine {
public:
    virtual ~Machine() = default;
    virtual std::string name() const = 0;  // the part: "U1"
    virtual void start(Hands& hands) = 0;  // at the first instant
    virtual void crossed(Hands& hands, int watch) = 0;
    virtual void alarm(Hands& hands, int timer) = 0;
    // Its own memory (no pointers into a simulation), for trials of the steady-state search.
    virtual std::unique_ptr<Machine> clone() const = 0;
};

}  // namespace etchback::behaviour
