# Completion of etchback for bash. Installed as share/bash-completion/completions/etchback.

_etchback() {
    local word=${COMP_WORDS[COMP_CWORD]} before=${COMP_WORDS[COMP_CWORD - 1]} command="" i
    for ((i = 1; i < COMP_CWORD; i++)); do
        case ${COMP_WORDS[i]} in
            --data) ((i++)) ;;
            -*) ;;
            *) command=${COMP_WORDS[i]}; break ;;
        esac
    done
    case $before in
        --data) mapfile -t COMPREPLY < <(compgen -d -- "$word"); return ;;
        --symbols) mapfile -t COMPREPLY < <(compgen -W "iec ansi" -- "$word"); return ;;
        --scenario)
            mapfile -t COMPREPLY < <(compgen -W "normal cold-start load-open output-short mains-low mains-high mains-dip" -- "$word")
            return ;;
        --csv | --svg | --journal | --overlay) mapfile -t COMPREPLY < <(compgen -f -- "$word"); return ;;
        --patterns) mapfile -t COMPREPLY < <(compgen -d -- "$word"); return ;;
        --nets | --parts) mapfile -t COMPREPLY < <(compgen -f -- "$word"); return ;;
        --name | --width | --supply | --threads | --samples | --seed) return ;;
        -o | --output)
            if [ "$command" = report ]; then
                mapfile -t COMPREPLY < <(compgen -d -- "$word")
            else
                mapfile -t COMPREPLY < <(compgen -f -- "$word")
            fi
            return ;;
    esac
    local words
    case $command in
        "") words="new check report copper circuit explain compare bench draw simulate faults spread --data --version --help" ;;
        new) words="--name --nets --parts --json --help" ;;
        check | circuit) words="--json --help" ;;
        explain) words="--patterns --no-simulation --json --help" ;;
        compare) words="--svg --symbols --json --help" ;;
        bench) words="--plan --no-simulation --over --svg --json --help" ;;
        report) words="--output --symbols --no-simulation --json --help" ;;
        copper) words="--overlay --width --json --help" ;;
        draw) words="--output --symbols --paper --show --no-simulation --mark --width --json --help" ;;
        simulate) words="--scenario --supply --csv --svg --json --help" ;;
        faults) words="--threads --journal --json --help" ;;
        spread) words="--samples --seed --assumed --threads --journal --json --help" ;;
        *) return ;;
    esac
    if [ -n "$command" ] && [[ $word != -* ]]; then
        mapfile -t COMPREPLY < <(compgen -d -- "$word")
    else
        mapfile -t COMPREPLY < <(compgen -W "$words" -- "$word")
    fi
}
complete -o filenames -F _etchback etchback
