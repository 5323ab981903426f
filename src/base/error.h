// What is wrong, where, and what to do about it: the only way in which bad input is reported.
//
// Three kinds of failure go three ways. Input out of order is a returned Result; a mistake of our
// own is an assert; a full disk or a file that cannot be opened is an exception (base/file.h).
#pragma once

#include <cassert>
#include <string>
#include <utility>
#include <variant>
#include <vector>

namespace etchback::base {

// A position in a file that a person wrote. Lines and columns count from 1, columns in
// characters (not bytes); 0 is "not known".
struct Place {
    std::string file;
    int line = 0;
    int column = 0;

    bool operator==(const Place&) const = default;
};

// One thing that is not in order, in words for the person at the bench.
struct Error {
    Place place;
    std::string what;  // "resistance '4k7k' has two unit letters"
    std::string todo;  // "write 4k7 or 4.7k"

    bool operator==(const Error&) const = default;
};

using Errors = std::vector<Error>;

// "file:line:column: what; todo". Parts that are not known are left out.
std::string to_string(const Error& error);

// Sorts by file, line, column and text, so that the same input gives the same report.
void sort_by_place(Errors& errors);

// A value, or every error that stood in its way: a reader goes on to the end of the file,
// so that one run shows the person all that is wrong.
template <typename T>
class [[nodiscard]] Result {
public:
    Result(T value) : state_(std::move(value)) {}
    Result(Errors errors) : state_(std::move(errors)) { assert(!this->errors().empty()); }
    Result(Error error) : state_(Errors{std::move(error)}) {}

    explicit operator bool() const { return std::holds_alternative<T>(state_); }
    const T& operator*() const& { return std::get<T>(state_); }
    T& operator*() & { return std::get<T>(state_); }
    T&& operator*() && { return std::get<T>(std::move(state_)); }
    const T* operator->() const { return &std::get<T>(state_); }
    const Errors& errors() const { return std::get<Errors>(state_); }

private:
    std::variant<T, Errors> state_;
};

// A value together with where the person wrote it. Two are equal if their values are: moving a
// line in a file changes nothing that the file says.
template <typename T>
struct Placed {
    T value{};
    Place place{};

    bool operator==(const Placed& other) const { return value == other.value; }
};

}  // namespace etchback::base
