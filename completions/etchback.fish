# Completion of etchback for fish. Installed as share/fish/vendor_completions.d/etchback.fish.

set -l commands new check report circuit draw

complete -c etchback -f
complete -c etchback -n "not __fish_seen_subcommand_from $commands" -a new -d "start a dossier, empty or from two tables"
complete -c etchback -n "not __fish_seen_subcommand_from $commands" -a check -d "everything that is wrong with a dossier"
complete -c etchback -n "not __fish_seen_subcommand_from $commands" -a report -d "all that can be derived, as a page to publish"
complete -c etchback -n "not __fish_seen_subcommand_from $commands" -a circuit -d "parts, nets, domains, series and parallel sets"
complete -c etchback -n "not __fish_seen_subcommand_from $commands" -a draw -d "the drawn circuit as SVG, PDF or PNG"
complete -c etchback -n "not __fish_seen_subcommand_from $commands" -l data -r -a "(__fish_complete_directories)" -d "the folder of the tables that come with etchback"
complete -c etchback -n "not __fish_seen_subcommand_from $commands" -l version -d "print the version"
complete -c etchback -s h -l help -d "print help"
complete -c etchback -n "__fish_seen_subcommand_from $commands" -a "(__fish_complete_directories)"
complete -c etchback -n "__fish_seen_subcommand_from $commands" -l json -d "print one JSON document"
complete -c etchback -n "__fish_seen_subcommand_from new" -l name -x -d "what the item is called"
complete -c etchback -n "__fish_seen_subcommand_from new" -l nets -r -F -d "table of net, part, pin"
complete -c etchback -n "__fish_seen_subcommand_from new" -l parts -r -F -d "table of part, value, body"
complete -c etchback -n "__fish_seen_subcommand_from report" -s o -l output -r -a "(__fish_complete_directories)" -d "the folder to write to"
complete -c etchback -n "__fish_seen_subcommand_from draw" -s o -l output -r -F -d "the file to write to"
complete -c etchback -n "__fish_seen_subcommand_from draw" -l width -x -d "width of a PNG in pixels"
complete -c etchback -n "__fish_seen_subcommand_from report draw" -l symbols -x -a "iec ansi" -d "manner of the symbols"
