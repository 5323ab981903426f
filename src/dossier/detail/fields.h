// Building the tables of a dossier's tree.
#pragma once

#include <optional>
#include <string>
#include <utility>
#include <vector>

#include "dossier/detail/quantity_text.h"
#include "dossier/detail/toml_text.h"
#include "dossier/detail/tree.h"

namespace etchback::dossier::detail {

// "[x, y]".
inline Node spot_node(double x, double y) {
    Node list = Node::list_of(Node::Manner::inline_);
    list.elements = {Node::value_of(number_text(x)), Node::value_of(number_text(y))};
    return list;
}

// Adds fields to a table, leaving out what is empty or as it is without saying so.
class Fields {
public:
    explicit Fields(Node::Manner manner, bool ordered = false)
        : node_(Node::table_of(manner, ordered)) {}

    Fields& put(std::string key, Node node) {
        node_.fields.emplace_back(std::move(key), std::move(node));
        return *this;
    }
    Fields& raw(std::string key, std::string text) {
        return put(std::move(key), Node::value_of(std::move(text)));
    }
    Fields& text(std::string key, const std::string& text) {
        return text.empty() ? *this : raw(std::move(key), string_text(text));
    }
    Fields& long_text(std::string key, const Text& text) {
        return text.value.empty() ? *this : raw(std::move(key), long_string_text(text.value));
    }
    Fields& date(std::string key, const std::string& date) {
        return date.empty() ? *this : raw(std::move(key), date_text(date));
    }
    Fields& number(std::string key, const std::optional<Placed<double>>& number) {
        return number ? raw(std::move(key), number_text(number->value)) : *this;
    }
    Fields& amount(std::string key, const std::optional<Amount>& amount, base::Unit expected) {
        return amount ? raw(std::move(key), string_text(quantity_text(amount->value, expected)))
                      : *this;
    }
    Fields& flag(std::string key, bool flag, bool otherwise) {
        return flag == otherwise ? *this : raw(std::move(key), flag ? "true" : "false");
    }
    Fields& texts(std::string key, const std::vector<Text>& texts) {
        if (texts.empty()) {
            return *this;
        }
        Node list = Node::list_of(Node::Manner::inline_);
        for (const Text& text : texts) {
            list.elements.push_back(Node::value_of(string_text(text.value)));
        }
        return put(std::move(key), std::move(list));
    }
    Fields& spot(std::string key, double x, double y) {
        return put(std::move(key), spot_node(x, y));
    }
    // A table or list, unless it is empty.
    Fields& filled(std::string key, Node node) {
        return node.fields.empty() && node.elements.empty() ? *this
                                                            : put(std::move(key), std::move(node));
    }
    Node done() { return std::move(node_); }

private:
    Node node_;
};

template <typename T, typename Make>
Node list_from(const std::vector<T>& things, Node::Manner manner, Make make) {
    Node list = Node::list_of(manner);
    for (const T& thing : things) {
        list.elements.push_back(make(thing));
    }
    return list;
}

// The tables of parts, by name.
Node parts_of(const std::vector<Part>& parts, const parts::Catalogue& catalogue);

}  // namespace etchback::dossier::detail
