// Building Mustache data. In Mustache an inner section sees the names of the outer ones, so every
// object sets all its names: a text always comes with has_NAME.
#pragma once

#include <kainjow/mustache.hpp>

#include <string>
#include <vector>

namespace etchback::report::detail {

class Fields {
public:
    Fields& text(const std::string& name, const std::string& value) {
        data_.set(name, value);
        data_.set("has_" + name, kainjow::mustache::data(!value.empty()));
        return *this;
    }
    Fields& flag(const std::string& name, bool value) {
        data_.set(name, kainjow::mustache::data(value));
        return *this;
    }
    Fields& data(const std::string& name, kainjow::mustache::data value) {
        data_.set(name, std::move(value));
        return *this;
    }
    template <typename List, typename Make>
    Fields& list(const std::string& name, const List& all, const Make& make) {
        kainjow::mustache::data list(kainjow::mustache::data::type::list);
        for (const auto& one : all) {
            list.push_back(make(one));
        }
        data_.set(name, std::move(list));
        data_.set("has_" + name, kainjow::mustache::data(!all.empty()));
        return *this;
    }
    Fields& texts(const std::string& name, const std::vector<std::string>& all) {
        return list(
            name, all, [](const std::string& text) { return kainjow::mustache::data(text); });
    }
    operator kainjow::mustache::data() const { return data_; }

private:
    kainjow::mustache::data data_{kainjow::mustache::data::type::object};
};

}  // namespace etchback::report::detail
